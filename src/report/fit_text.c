#include <math.h>

#include "report/size.h"
#include "report/text.h"

enum { AT_NAME = 2, AT_VALUE = 43, AT_WORST = 51, AT_RSS = 69, AT_WANTED = 79, AT_CHANCE = 97 };
static const double percent = 100;

static void add_limits(struct sw_buf *out, const struct sw_fit_item *item)
{
    if (isfinite(item->least) && isfinite(item->most)) {
        sw_text_bounds(out, item->least, item->most, item->decimals);
    } else if (isfinite(item->least)) {
        sw_text_number(out, item->least, item->decimals);
        sw_buf_add(out, " or more");
    } else if (isfinite(item->most)) {
        sw_buf_add(out, "up to ");
        sw_text_number(out, item->most, item->decimals);
    }
}

static void add_item(struct sw_buf *out, const struct sw_fit_item *item)
{
    static const char *const verdict[] = {"", "  outside", "  FAILS", ""};
    const bool has_limits = isfinite(item->least) || isfinite(item->most);
    sw_buf_pad(out, AT_NAME);
    sw_buf_printf(out, "%s [%s]", item->name, item->unit);
    sw_buf_pad(out, AT_VALUE);
    sw_text_number(out, item->value, item->decimals);
    sw_buf_pad(out, AT_WORST);
    sw_text_bounds(out, item->worst_low, item->worst_high, item->decimals);
    sw_buf_pad(out, AT_RSS);
    sw_buf_add(out, "+-");
    sw_text_number(out, item->rss, item->decimals);
    if (has_limits)
        sw_buf_pad(out, AT_WANTED);
    add_limits(out, item);
    if (item->verdict != SW_FIT_FOR_INFORMATION) {
        sw_buf_pad(out, AT_CHANCE);
        sw_text_number(out, percent * item->chance, 1);
        sw_buf_add(out, " %");
    } else if (item->value > item->most) {
        sw_buf_add(out, "; the metal gives");
    }
    sw_buf_printf(out, "%s\n", verdict[item->verdict]);
}

void sw_report_fit(struct sw_buf *out, const struct sw_fit *fit)
{
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, "fit");
    sw_buf_pad(out, AT_VALUE);
    sw_buf_add(out, "middle");
    sw_buf_pad(out, AT_WORST);
    sw_buf_add(out, "worst case");
    sw_buf_pad(out, AT_RSS);
    sw_buf_add(out, "rss");
    sw_buf_pad(out, AT_WANTED);
    sw_buf_add(out, "wanted");
    sw_buf_pad(out, AT_CHANCE);
    sw_buf_add(out, "chance\n");
    for (size_t i = 0; i < fit->n; i++)
        add_item(out, &fit->item[i]);
    sw_buf_add(out, "\n");
    sw_buf_printf(out, "chance that the finished staff is within all limits: ");
    sw_text_number(out, percent * fit->chance_all, 1);
    sw_buf_add(out, " %; that it goes together at all: ");
    sw_text_number(out, percent * fit->chance_together, 1);
    sw_buf_add(out, " %\n");
    sw_text_say(out, 0, "",
                "(%zu trials, seed %llu: readings within their doubt, sizes of the staff anywhere "
                "within their tolerances%s)",
                fit->trials, (unsigned long long)fit->seed,
                fit->gap_is_assumed ? "; endstones not measured are taken to stand off 0.03 +- 0.02"
                                    : "");
}
