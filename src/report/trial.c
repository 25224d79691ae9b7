#include "report/trial.h"

#include "report/text.h"

/* Of many differences with one likely cause this many are shown. */
enum { SHOWN = 3 };

/* How many of one cause come before I. */
static size_t n_before(const struct sw_trial *trial, size_t i)
{
    size_t n = 0;
    for (size_t k = 0; k < i; k++)
        n += trial->differences.at[k].likely == trial->differences.at[i].likely;
    return n;
}

static size_t n_like(const struct sw_trial *trial, size_t i)
{
    size_t n = 0;
    for (size_t k = 0; k < trial->differences.n; k++)
        n += trial->differences.at[k].likely == trial->differences.at[i].likely;
    return n;
}

static void add_difference(struct sw_buf *out, const struct sw_trial_difference *d)
{
    sw_buf_printf(out, "event %zu, %s, %s", d->event, d->kind, d->program);
    if (d->line)
        sw_buf_printf(out, " line %u", (unsigned)d->line);
    sw_buf_printf(out, ": asked %s; read %s; likely %s\n", d->asked, d->read, d->likely);
}

void sw_report_trial(struct sw_buf *out, const struct sw_trial *trial)
{
    sw_buf_printf(out, "%s: a trial path of %zu events, %zu blocks in %zu program%s, read by %s\n",
                  trial->dialect, trial->n_events, trial->n_blocks, trial->n_programs,
                  trial->n_programs == 1 ? "" : "s", trial->machine);
    for (size_t i = 0; i < trial->unused.n; i++)
        sw_buf_printf(out, "not used by this dialect: %s\n", trial->unused.at[i]);
    for (size_t i = 0; i < trial->differences.n; i++) {
        const size_t before = n_before(trial, i), all = n_like(trial, i);
        if (before < SHOWN)
            add_difference(out, &trial->differences.at[i]);
        if (before + 1 == SHOWN && all > SHOWN)
            sw_buf_printf(out, "and %zu more like it\n", all - SHOWN);
    }
    if (trial->n_faults)
        sw_buf_printf(out, "%zu line%s the control does not read as written; see the messages\n",
                      trial->n_faults, trial->n_faults == 1 ? "" : "s");
    if (trial->differences.n || trial->n_faults)
        sw_buf_printf(out, "the text does not mean what was asked: %zu difference%s\n",
                      trial->differences.n, trial->differences.n == 1 ? "" : "s");
    else
        sw_buf_printf(out, "the text means what was asked, and again with %s\n", trial->second);
}
