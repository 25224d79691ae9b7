/* tables: what is shown on the screen: sections of a staff, a plan in short, a verdict.
 *
 * Sizes in mm. Everything is appended to a sticky buffer; nothing here fails otherwise.
 */
#ifndef SW_REPORT_TABLES_H
#define SW_REPORT_TABLES_H

#include "base/buf.h"
#include "plan/plan.h"
#include "shape/shape.h"
#include "verify/verify.h"

/** A line of name, total length, heights; then one row a section: diameters, tolerance, length,
 *  slenderness L/d, finish. SHAPE adds what turning leaves; NULL: there is no shop yet. */
void sw_report_sections(struct sw_buf *out, const struct sw_staff *staff,
                        const struct sw_shape *shape);

/** One way of holding that was compared, as words without a full stop; all of a plan, and why one
 *  was taken: nothing where the job says which. */
void sw_report_way(struct sw_buf *words, const struct sw_plan_way *way);
void sw_report_ways(struct sw_buf *out, const struct sw_plan *plan);

/** One paragraph a chucking: rod, holder, stick-out, tools, estimated time. */
void sw_report_plan(struct sw_buf *out, const struct sw_plan *plan);

/** Findings, sizes that come out, programs with their times; the verdict last. */
void sw_report_verdict(struct sw_buf *out, const struct sw_verdict *verdict);

/** Append what a chucking leaves as a table of diameters; nothing when the verdict has none. Part
 * of sw_report_verdict. */
void sw_report_left(struct sw_buf *out, const struct sw_verdict *verdict);

/** What the work bears: a row a section, and where bending and stress are worst. Part of
 *  sw_report_verdict. */
void sw_report_loads(struct sw_buf *out, const struct sw_verdict *verdict);

/** How far each diameter may come out from its predicted size, cause by cause [um], and after
 *  measuring at a pause. Part of sw_report_verdict. */
void sw_report_moves(struct sw_buf *out, const struct sw_verdict *verdict);

/** The worst bending, stress and safety in words; "" without any. */
void sw_report_worst_bending(struct sw_buf *out, const struct sw_verdict *verdict);
void sw_report_worst_stress(struct sw_buf *out, const struct sw_verdict *verdict);

/** Only the findings, one or two lines each. */
void sw_report_findings(struct sw_buf *out, const struct sw_verdict *verdict);

/** "turned", "stoned", "burnished". */
const char *sw_report_finish(enum sw_finish finish);

#endif
