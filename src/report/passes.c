#include "report/passes.h"

#include <math.h>
#include <stdio.h>

#include "report/op_time.h"
#include "report/text.h"

/* Columns: "plan" is the planner's word, "found" what the judge found in the text. */
enum {
    AT_PASS = 2,
    AT_DEPTH = 7,
    AT_FEED = 14,
    AT_SPEED = 21,
    AT_FORCE = 27,
    AT_FORCE_FOUND = 45,
    AT_BEND = 57,
    AT_BEND_FOUND = 63,
    AT_STRESS = 75,
    AT_STRESS_FOUND = 80,
    AT_LIMIT = 88
};

const char *sw_report_limit(enum sw_pass_limit limit)
{
    switch (limit) {
    case SW_PASS_BY_TOOL:
        return "the tool";
    case SW_PASS_BY_REST:
        return "what is left";
    case SW_PASS_BY_BEND:
        return "bending";
    case SW_PASS_BY_STRESS:
        return "stress";
    case SW_PASS_BY_TORQUE:
        return "torque";
    case SW_PASS_BY_POWER:
        return "power";
    case SW_PASS_BY_GRIP:
        return "the grip";
    case SW_PASS_BY_FINISH:
        return "last cut";
    case SW_PASS_AS_USUAL:
        break;
    }
    return "usual";
}

double sw_report_pass_turns(const struct sw_op *op, const struct sw_pass *pass)
{
    const double pi = 3.14159265358979323846, metre = 1000;
    if (!op->is_surface_speed)
        return pass->speed > 0 ? pass->speed : op->speed;
    const double r = fmax(0, sw_contour_box(&pass->run).r0 - op->tool->nose_radius.value);
    const double wanted = r > 0 ? op->speed * metre / (2 * pi * r) : HUGE_VAL;
    return fmin(wanted, op->speed_clamp);
}

static void cell(struct sw_buf *out, size_t column, double value, int decimals)
{
    sw_buf_pad(out, column);
    sw_text_number(out, value, decimals);
}

static void pair(struct sw_buf *out, size_t column, const struct sw_pair *found, int decimals)
{
    cell(out, column, found->nominal, decimals);
    if (!isfinite(found->high))
        return;
    sw_buf_add(out, " ");
    sw_text_number(out, found->high, decimals);
}

static void row(struct sw_buf *out, const struct sw_op *op, size_t i,
                const struct sw_line_load *found)
{
    enum { UM = 1000 };
    const struct sw_pass *pass = &op->pass[i];
    const struct sw_pass_load *load = &pass->load;
    sw_buf_pad(out, AT_PASS);
    sw_buf_printf(out, "%3zu", i + 1);
    cell(out, AT_DEPTH, UM * load->depth, 1);
    cell(out, AT_FEED, UM * (pass->feed > 0 ? pass->feed : op->feed), 2);
    cell(out, AT_SPEED, sw_report_pass_turns(op, pass), 0);
    cell(out, AT_FORCE, load->force_low, 2);
    if (isfinite(load->force_low)) {
        sw_buf_add(out, " ");
        sw_text_number(out, load->force_nominal, 2);
        sw_buf_add(out, " ");
        sw_text_number(out, load->force_high, 2);
    }
    if (found->line > 0) {
        pair(out, AT_FORCE_FOUND, &found->force_n, 2);
    } else {
        sw_buf_pad(out, AT_FORCE_FOUND);
        sw_buf_add(out, "none: air");
    }
    cell(out, AT_BEND, UM * load->bend, 2);
    pair(out, AT_BEND_FOUND, &found->bend_um, 2);
    cell(out, AT_STRESS, load->stress, 0);
    pair(out, AT_STRESS_FOUND, &found->stress_mpa, 0);
    sw_buf_pad(out, AT_LIMIT);
    sw_buf_printf(out, "%s\n", sw_report_limit(load->limit));
}

static void heads(struct sw_buf *out)
{
    static const struct {
        size_t at;
        const char *text;
    } head[] = {{AT_FORCE, "force N"},      {AT_BEND, "bends um"},     {AT_STRESS, "stress MPa\n"},
                {AT_PASS, "pass"},          {AT_DEPTH, "depth"},       {AT_FEED, "feed"},
                {AT_SPEED, "rpm"},          {AT_FORCE, "plan's band"}, {AT_FORCE_FOUND, "found"},
                {AT_BEND, "plan"},          {AT_BEND_FOUND, "found"},  {AT_STRESS, "plan"},
                {AT_STRESS_FOUND, "found"}, {AT_LIMIT, "held back by"}};
    for (size_t i = 0; i < sizeof head / sizeof *head; i++) {
        sw_buf_pad(out, head[i].at);
        sw_buf_add(out, head[i].text);
    }
    sw_buf_add(out, "\n");
}

void sw_report_passes(struct sw_buf *out, const struct sw_plan *plan,
                      const struct sw_post_programs *programs, const struct sw_verdict *verdict)
{
    sw_text_say(
        out, 0, "",
        "Every pass, depth and feed in um: the band of its force, how far its high end "
        "bends the work at the tool and stresses it at worst, and what held it back. Beside "
        "the plan's figures stands what the dry run found in the text, by the nominal "
        "force and by its high end. The two were reckoned without each other; where they "
        "differ, believe the larger.");
    for (size_t side = 0; side < plan->n_chuckings; side++) {
        const struct sw_plan_chucking *chucking = &plan->chucking[side];
        sw_buf_printf(out, "\n%s\n", chucking->name);
        heads(out);
        for (size_t i = 0; i < chucking->n_ops; i++) {
            const struct sw_op *op = &chucking->op[i];
            if (op->n_passes == 0)
                continue;
            const struct sw_times time = sw_report_op_times(plan, programs, verdict, side, i);
            sw_buf_printf(out, "%s, T%d: ", op->what, op->station);
            sw_text_seconds(out, time.cutting + time.moving + time.waiting);
            sw_buf_add(out, ", of it ");
            sw_text_seconds(out, time.cutting);
            sw_buf_add(out, " cutting\n");
            for (size_t k = 0; k < op->n_passes; k++) {
                const struct sw_pass_found found =
                    sw_report_pass_load(plan, programs, verdict, side, i, k);
                row(out, op, k, &found.load);
            }
        }
    }
    sw_buf_add(out, "\n");
}
