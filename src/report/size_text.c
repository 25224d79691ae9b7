#include <math.h>

#include "report/size.h"
#include "report/text.h"
#include "stat/grades.h"

enum { AT_NAME = 2, AT_VALUE = 34, AT_TOLERANCE = 44, AT_DOUBT = 58, AT_FROM = 70 };
/* No number with fewer places would show what a better reading is worth [mm]. */
enum { FINE = 4, COARSE = 3 };
static const double percent = 100, um = 1000;

static void say_number(struct sw_buf *out, double value)
{
    sw_text_number(out, value, FINE);
}

static void add_size(struct sw_buf *out, const struct sw_size *size, enum sw_size_id id)
{
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, sw_size_says(id));
    sw_buf_pad(out, AT_VALUE);
    sw_text_number(out, size->value, size->decimals > COARSE ? FINE : COARSE);
    if (size->band > 0) {
        sw_buf_pad(out, AT_TOLERANCE);
        sw_buf_add(out, "+-");
        say_number(out, size->tolerance);
        const int grade = sw_grade_for(size->value, um * 2 * size->tolerance);
        if (grade >= 1)
            sw_buf_printf(out, " IT%d", grade);
    }
    if (size->expanded > 0) {
        sw_buf_pad(out, AT_DOUBT);
        sw_buf_add(out, "+-");
        say_number(out, size->expanded);
    }
    sw_buf_pad(out, AT_FROM);
    sw_buf_printf(out, "%s\n", sw_origin_says(size->origin));
    sw_text_wrap(out, AT_NAME + 2, "", 0, size->why);
}

static void add_sizes(struct sw_buf *out, const struct sw_sizing *sizing)
{
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, "size");
    sw_buf_pad(out, AT_VALUE);
    sw_buf_add(out, "mm");
    sw_buf_pad(out, AT_TOLERANCE);
    sw_buf_add(out, "to make, IT");
    sw_buf_pad(out, AT_DOUBT);
    sw_buf_add(out, "known to");
    sw_buf_pad(out, AT_FROM);
    sw_buf_add(out, "from\n");
    for (int id = 0; id < SW_N_SIZES; id++)
        if (sizing->size[id].is_there)
            add_size(out, &sizing->size[id], (enum sw_size_id)id);
}

/* One paragraph a size whose band cannot hold doubt and tolerance. */
static void add_bands(struct sw_buf *out, const struct sw_sizing *sizing)
{
    bool is_first = true;
    for (int id = 0; id < SW_N_SIZES; id++) {
        const struct sw_size *size = &sizing->size[id];
        if (!size->is_there || size->fits)
            continue;
        if (is_first)
            sw_text_headline(out, "Not known well enough");
        is_first = false;
        struct sw_buf words = {0};
        sw_buf_printf(&words, "%s: known to +-", sw_size_says((enum sw_size_id)id));
        say_number(&words, size->expanded);
        sw_buf_add(&words, ", and the making needs +-");
        say_number(&words, size->least_tolerance);
        sw_buf_add(&words, "; together no more than +-");
        say_number(&words, size->band);
        sw_buf_printf(&words, " may be used up (%s). ", size->band_says);
        if (size->improve < SW_GUM_MOST) {
            const struct sw_doubt *doubt = &sizing->know->doubt[size->improve];
            sw_buf_printf(&words, "Improve first: %s, now +-", doubt->says);
            say_number(&words, doubt->half);
            if (size->improve_to > 0) {
                sw_buf_add(&words, "; +-");
                say_number(&words, size->improve_to);
                sw_buf_add(&words, " would do.");
            } else {
                sw_buf_add(&words, "; not enough by itself: all readings that it hangs on must "
                                   "come to ");
                sw_text_number(&words, size->shrink, 2);
                sw_buf_add(&words, " of their doubt.");
            }
        }
        if (id == SW_SIZE_TOTAL)
            sw_buf_add(&words, " Or leave the staff long and shorten it by trial.");
        if (id == SW_SIZE_ROLLER_SEAT || id == SW_SIZE_SAFETY_SEAT)
            sw_buf_add(&words, " Or finish the seat by trial with the roller.");
        sw_text_wrap(out, 0, "- ", 2, sw_buf_text(&words));
        out->failed = out->failed || words.failed;
        sw_buf_done(&words);
    }
}

static void add_clash(struct sw_buf *out, const struct sw_clash *clash)
{
    struct sw_buf words = {0};
    sw_buf_printf(&words, "%s: %s says ", clash->what, clash->a);
    say_number(&words, clash->value_a);
    sw_buf_add(&words, " (u ");
    say_number(&words, clash->u_a);
    sw_buf_printf(&words, "), %s says ", clash->b);
    say_number(&words, clash->value_b);
    sw_buf_add(&words, " (u ");
    say_number(&words, clash->u_b);
    sw_buf_add(&words, "): ");
    say_number(&words, fabs(clash->value_a - clash->value_b));
    sw_buf_add(&words, " apart, ");
    sw_text_number(&words, clash->normalised, 1);
    sw_buf_add(&words, " times the standard uncertainty of the difference (chi-square ");
    sw_text_number(&words, clash->chi_square, 1);
    sw_buf_add(&words, " with ");
    sw_text_number(&words, clash->dof, 0);
    sw_buf_add(&words, " degree");
    sw_buf_add(&words, clash->dof > 1 ? "s of freedom; " : " of freedom; ");
    sw_buf_add(&words, "honest readings differ so much ");
    if (clash->chance < 0.0001) {
        sw_buf_add(&words, "less than once in 10000 times). ");
    } else {
        sw_buf_add(&words, "in ");
        sw_text_number(&words, percent * clash->chance, 2);
        sw_buf_add(&words, " of 100 cases). ");
    }
    if (clash->is_old)
        sw_buf_add(&words, "The old staff may itself have been wrong; the parts count.");
    else if (clash->suspect)
        sw_buf_printf(&words, "Without %s the others agree: read that one again.", clash->suspect);
    else if (clash->is_sure)
        sw_buf_add(&words, "One of them is wrong: read both again and take out what you no longer "
                           "believe.");
    else
        sw_buf_add(&words, "It may be chance; reading both again would show.");
    sw_text_wrap(out, 0, "- ", 2, sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

void sw_report_clashes(struct sw_buf *out, const struct sw_knowledge *know)
{
    if (know->clash.n)
        sw_text_headline(out, "Readings that contradict each other");
    for (size_t i = 0; i < know->clash.n; i++)
        add_clash(out, &know->clash.at[i]);
}

static void add_missing(struct sw_buf *out, const struct sw_sizing *sizing)
{
    if (sizing->missing.n)
        sw_text_headline(out, "Measure first: missing, and nothing can stand in for it");
    for (size_t i = 0; i < sizing->missing.n; i++)
        sw_text_say(out, 0, "- ", "%s: measure %s", sw_size_says(sizing->missing.at[i].size),
                    sizing->missing.at[i].needs);
}

static void add_next(struct sw_buf *out, const struct sw_sizing *sizing)
{
    enum { MOST_SHOWN = 8 };
    if (!sizing->next.n)
        return;
    sw_text_headline(out, sizing->missing.n ? "Then measure, most valuable first"
                                            : "Measure next, most valuable first");
    for (size_t i = 0; i < sizing->next.n && i < MOST_SHOWN; i++) {
        const struct sw_next *next = &sizing->next.at[i];
        struct sw_buf words = {0};
        sw_buf_printf(&words, "%s (%s +-", sw_reading_info[next->kind].key,
                      next->is_proposed ? "common practice stands in, " : "now ");
        say_number(&words, next->half);
        sw_buf_add(&words, "): ");
        sw_text_number(&words, percent * next->share, 0);
        sw_buf_printf(&words, " %% of the doubt in the %s", sw_size_says(next->size));
        if (next->wanted > 0) {
            sw_buf_add(&words, "; wanted: +-");
            say_number(&words, next->wanted);
        }
        sw_buf_printf(&words, ". %s", sw_reading_info[next->kind].sentence);
        sw_text_wrap(out, 0, "- ", 2, sw_buf_text(&words));
        out->failed = out->failed || words.failed;
        sw_buf_done(&words);
    }
}

static void add_assumed(struct sw_buf *out, const struct sw_sizing *sizing)
{
    struct sw_buf words = {0};
    const struct sw_parts_read *parts = &sizing->survey->parts;
    size_t n = 0;
    for (size_t i = 0; i < parts->n; i++)
        if (parts->reading[i].is_assumed)
            sw_buf_printf(&words, "%s%s", n++ ? ", " : "",
                          sw_reading_info[parts->reading[i].kind].key);
    if (n) {
        sw_buf_add(out, "\n");
        sw_text_say(out, 0, "",
                    "Read without a word on their doubt, so that usual bench values stand in: %s.",
                    sw_buf_text(&words));
    }
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

void sw_report_sizing(struct sw_buf *out, const struct sw_sizing *sizing)
{
    sw_buf_printf(out, "%s: sizes from %zu readings\n\n", sizing->survey->name,
                  sizing->survey->parts.n);
    add_sizes(out, sizing);
    add_assumed(out, sizing);
    add_bands(out, sizing);
    sw_report_clashes(out, sizing->know);
    if (sizing->refused.n)
        sw_text_headline(out, "The sizes leave no staff");
    for (size_t i = 0; i < sizing->refused.n; i++)
        sw_text_wrap(out, 0, "- ", 2, sizing->refused.at[i]);
    add_missing(out, sizing);
    add_next(out, sizing);
    sw_report_old_staff(out, sizing->survey);
}
