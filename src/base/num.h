/* num: the one place where numbers become text and text becomes numbers.
 *
 * Decimal point always '.', no exponent, no "-0"; the C locale plays no part. Rounding is half
 * away from zero on the decimal grid.
 */
#ifndef SW_BASE_NUM_H
#define SW_BASE_NUM_H

#include <stdbool.h>
#include <stddef.h>

#define SW_NUM_SIZE 48

/** Write VALUE with DECIMALS [0..9] places. False, with "?" written, when VALUE is not finite or
 *  beyond 1e9 in size: no such number may reach a machine. */
bool sw_num_format(char text[SW_NUM_SIZE], double value, int decimals);

/** Give the grid value that sw_num_format writes: VALUE rounded to DECIMALS places. */
double sw_num_round(double value, int decimals);

/** Read a whole text of SIZE bytes as [+-]digits[.digits] with at least one digit; nothing else is
 *  a number. The nearest double is given. False leaves VALUE alone. */
bool sw_num_parse(double *value, const char *text, size_t size);

#endif
