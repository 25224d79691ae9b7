/* grades: standard tolerance grades IT01 to IT14 by size, a published yardstick for how fine a
 * tolerance is.
 *
 * Sizes in mm, grades in um as the standard's table prints them; below 3 mm and for the finest
 * grades the table does not follow its own formulas, so it is kept as a table.
 * Source: ISO 286-1:1988 (= IS 919-1:1993), table 1 and annex A. The rows above 10 mm are from
 * memory, checked against the formula of the standard by a test.
 */
#ifndef SW_STAT_GRADES_H
#define SW_STAT_GRADES_H

enum { SW_GRADE_01 = -1, SW_GRADE_0 = 0, SW_GRADE_MOST = 14 };

/** The tolerance [um] of a GRADE (SW_GRADE_01, 0, 1 .. 14) for a SIZE (0..120 mm]; NAN outside.
 *  IT14 is not meant for sizes up to 1 mm; the table's value is given all the same. */
double sw_grade_um(double size, int grade);

/** The standard's tolerance factor i [um] of a geometric mean size [mm]. */
double sw_grade_factor(double mean_size);

/** The geometric mean [mm] of the size step that SIZE lies in (the first: of 1 and 3). */
double sw_grade_mean(double size);

/** The coarsest grade whose tolerance is at most WIDTH [um] wide; SW_GRADE_01 - 1 when even IT01 is
 *  wider. */
int sw_grade_for(double size, double width);

#endif
