/* trial: what a dialect wrote of the trial path, read back by a control.
 *
 * Plain data, made by app, shown here as text and JSON. Positions are those of the tool's own
 * numbers in the chucking frame, X on radius [mm]. Ownership: lives in the context's arena.
 */
#ifndef SW_REPORT_TRIAL_H
#define SW_REPORT_TRIAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/ctx.h"

/** One place where the text does not mean what was asked. */
struct sw_trial_difference {
    size_t event;        /* of the trial path, from 1 */
    const char *kind;    /* of that event: "arc" */
    const char *program; /* file name */
    uint32_t line;       /* in it, from 1; 0: the text ends before */
    const char *asked;
    const char *read;
    const char *likely; /* what in the dialect is likely wrong; its address tells causes apart */
};

struct sw_trial {
    const char *dialect;
    const char *machine; /* file */
    size_t n_events;
    size_t n_programs;
    size_t n_blocks;
    size_t n_faults;      /* lines the control does not read; told as diagnostics */
    bool has_second_read; /* with corrections or offsets set to SECOND_* */
    const char *second;   /* what was set for it: "#101=-0.0125"; NULL: nothing could be */
    struct {
        const char **at;
        size_t n;
        size_t cap;
    } unused; /* events the dialect does not have */
    struct {
        struct sw_trial_difference *at;
        size_t n;
        size_t cap;
    } differences;
};

/** Append the result as text; of many differences with one likely cause the first few. */
void sw_report_trial(struct sw_buf *out, const struct sw_trial *trial);

/** One file that `check` looked at. */
struct sw_report_checked {
    const char *file;
    const char *kind;             /* "staff"; NULL: unknown */
    const char *verdict;          /* "sound", "unfit", "faulty", "cannot" */
    const struct sw_trial *trial; /* NULL: none was asked for */
    size_t first_record;          /* its records in the sink: from here ... */
    size_t end_record;            /* ... up to here */
};

/** Write the results of check, format staffwright.check/1 (profiles/schemas/check.schema.json). */
enum sw_status sw_report_check_json(struct sw_buf *out, const struct sw_report_checked *checked,
                                    size_t n, const char *version,
                                    const struct sw_diag *diag) SW_MUST_CHECK;

#endif
