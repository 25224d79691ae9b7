/* size: what a survey leads to, and how a staff fits its parts: for people and as JSON.
 *
 * Lengths in mm, angles in degrees. Texts go to a sticky buffer. JSON keys are never left out;
 * what does not apply is null. profiles/schemas/size.schema.json describes it.
 * Statuses: SW_MEMORY.
 */
#ifndef SW_REPORT_SIZE_H
#define SW_REPORT_SIZE_H

#include "base/buf.h"
#include "fit/fit.h"
#include "fit/size.h"

/** The table of fits, a remark on what it rests on, the chances. */
void sw_report_fit(struct sw_buf *out, const struct sw_fit *fit);

/** Readings that contradict each other, under a headline; nothing when there are none. */
void sw_report_clashes(struct sw_buf *out, const struct sw_knowledge *know);

/** What to read and to note while the old staff still stands in its balance. */
void sw_report_old_staff(struct sw_buf *out, const struct sw_survey *survey);

/** Sizes with reasons and doubt, bands that are missed and what to do, contradictions, what is
 *  missing, what to measure next. */
void sw_report_sizing(struct sw_buf *out, const struct sw_sizing *sizing);

/** Everything above as JSON. FIT may be NULL; STAFF_FILE is NULL when none was written. */
enum sw_status sw_report_size_json(struct sw_buf *out, const struct sw_sizing *sizing,
                                   const struct sw_fit *fit, const char *staff_file,
                                   const char *version) SW_MUST_CHECK;

#endif
