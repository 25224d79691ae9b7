/* Control charts in words. */
#include <math.h>

#include "report/correct_int.h"
#include "report/text.h"

enum { INDENT = 2 };

static void say_one(struct sw_buf *out, const struct sw_gauge_series *series,
                    const struct sw_sheet *sheet)
{
    const struct sw_gauge_mark *last = &series->at[series->n - 1];
    struct sw_buf lead = {0};
    sw_buf_printf(&lead, "side %d, T%d, %s: ", series->side, series->station,
                  sheet->plan->shape->staff->section[series->section].name);
    if (series->has_limits)
        sw_text_say(out, INDENT, sw_buf_text(&lead),
                    "%zu readings, mean error %+.4f, control limits %+.4f to %+.4f%s; the last, "
                    "piece %.0f, is %+.4f: %s.%s",
                    series->n, sw_text_round(series->chart.centre, 4),
                    sw_text_round(series->chart.lower, 4), sw_text_round(series->chart.upper, 4),
                    series->n < SW_CHART_ENOUGH ? " (provisional)" : "", last->piece,
                    sw_text_round(last->error, 4), sw_chart_signal_says(series->signal),
                    series->is_close ? " The last three have drifted a third of the tolerance off "
                                       "its middle: correct now, before a limit is reached."
                                     : "");
    else
        sw_text_say(out, INDENT, sw_buf_text(&lead),
                    "%zu readings, all alike: they scatter less than the gauge reads.", series->n);
    out->failed = out->failed || lead.failed;
    sw_buf_done(&lead);
}

bool sw_correct_say_charts(struct sw_buf *out, const struct sw_correction *correction,
                           const struct sw_sheet *sheet)
{
    bool is_clean = true, is_any = false;
    for (size_t i = 0; i < correction->n_series; i++) {
        const struct sw_gauge_series *series = &correction->series[i];
        if (series->n < 2)
            continue;
        if (!is_any)
            sw_text_headline(out, "Control charts");
        is_any = true;
        say_one(out, series, sheet);
        is_clean = is_clean && series->signal == SW_CHART_QUIET && !series->is_close;
    }
    if (is_any)
        sw_text_say(out, INDENT, "",
                    "Limits of individuals by moving ranges, 3 / d2 with d2 = 1.128 (NIST/SEMATECH "
                    "e-Handbook 6.3.2.2), rules of 6.3.2; provisional below %d readings.",
                    SW_CHART_ENOUGH);
    return is_clean;
}
