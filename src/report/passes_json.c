/* The plan explained pass by pass, as JSON. As in json.c: key order is fixed, what is not known is
 * null. */
#include <jansson.h>
#include <math.h>

#include "base/num.h"
#include "report/op_time.h"
#include "report/passes.h"

enum { DECIMALS = 6, DIGITS = 12 };
enum { UM = 1000 };

/* jansson refuses a NULL value, so that one failed allocation shows in the next set. */
static void set(json_t *object, bool *good, const char *key, json_t *value)
{
    *good = json_object_set_new(object, key, value) == 0 && *good;
}

static void append(json_t *array, bool *good, json_t *value)
{
    *good = json_array_append_new(array, value) == 0 && *good;
}

static json_t *whole(json_t *object, bool good)
{
    if (good)
        return object;
    json_decref(object);
    return NULL;
}

static json_t *number(double value)
{
    return isfinite(value) ? json_real(sw_num_round(value, DECIMALS) + 0.0) : json_null();
}

/* The plan bends and stresses by the high force only. */
static json_t *planned_json(const struct sw_pass_load *load)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "force_low_n", number(load->force_low));
    set(object, &good, "force_nominal_n", number(load->force_nominal));
    set(object, &good, "force_high_n", number(load->force_high));
    set(object, &good, "bend_high_um", number(UM * load->bend));
    set(object, &good, "stress_high_mpa", number(load->stress));
    return whole(object, good);
}

static json_t *found_json(const struct sw_pass_found *found)
{
    const struct sw_line_load *load = &found->load;
    if (load->line == 0)
        return json_null();
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "program", json_string(found->program));
    set(object, &good, "line", json_integer(load->line));
    set(object, &good, "force_low_n", number(load->least_force_n));
    set(object, &good, "force_nominal_n", number(load->force_n.nominal));
    set(object, &good, "force_high_n", number(load->force_n.high));
    set(object, &good, "bend_nominal_um", number(load->bend_um.nominal));
    set(object, &good, "bend_high_um", number(load->bend_um.high));
    set(object, &good, "stress_nominal_mpa", number(load->stress_mpa.nominal));
    set(object, &good, "stress_high_mpa", number(load->stress_mpa.high));
    return whole(object, good);
}

static json_t *pass_json(const struct sw_op *op, const struct sw_pass *pass,
                         const struct sw_pass_found *found)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "depth_um", number(UM * pass->load.depth));
    set(object, &good, "feed_um", number(UM * (pass->feed > 0 ? pass->feed : op->feed)));
    set(object, &good, "rpm", number(sw_report_pass_turns(op, pass)));
    set(object, &good, "held_back_by", json_string(sw_report_limit(pass->load.limit)));
    set(object, &good, "plan", planned_json(&pass->load));
    set(object, &good, "found", found_json(found));
    return whole(object, good);
}

/* What the operations of a chucking are judged by. */
struct side {
    const struct sw_plan *plan;
    const struct sw_post_programs *programs;
    const struct sw_verdict *verdict;
    size_t at;
};

static json_t *op_json(const struct side *side, size_t i)
{
    const struct sw_op *op = &side->plan->chucking[side->at].op[i];
    const struct sw_times time =
        sw_report_op_times(side->plan, side->programs, side->verdict, side->at, i);
    json_t *passes = json_array();
    bool good = passes;
    for (size_t k = 0; k < op->n_passes; k++) {
        const struct sw_pass_found found =
            sw_report_pass_load(side->plan, side->programs, side->verdict, side->at, i, k);
        append(passes, &good, pass_json(op, &op->pass[k], &found));
    }
    passes = whole(passes, good);
    json_t *object = json_object();
    good = object;
    set(object, &good, "what", json_string(op->what));
    set(object, &good, "station", json_integer(op->station));
    set(object, &good, "tool", json_string(op->tool->name.value));
    set(object, &good, "seconds", number(sw_times_sum(&time)));
    set(object, &good, "cutting_seconds", number(time.cutting));
    set(object, &good, "passes", passes);
    return whole(object, good);
}

static json_t *side_json(const struct side *side)
{
    const struct sw_plan_chucking *chucking = &side->plan->chucking[side->at];
    json_t *ops = json_array();
    bool good = ops;
    for (size_t i = 0; i < chucking->n_ops; i++)
        if (chucking->op[i].n_passes > 0)
            append(ops, &good, op_json(side, i));
    ops = whole(ops, good);
    json_t *object = json_object();
    good = object;
    set(object, &good, "name", json_string(chucking->name));
    set(object, &good, "operations", ops);
    return whole(object, good);
}

static int add_bytes(const char *bytes, size_t size, void *out)
{
    sw_buf_addn(out, bytes, size);
    return ((struct sw_buf *)out)->failed ? -1 : 0;
}

enum sw_status sw_report_passes_json(struct sw_buf *out, const struct sw_plan *plan,
                                     const struct sw_post_programs *programs,
                                     const struct sw_verdict *verdict, const char *version)
{
    json_t *sides = json_array();
    bool good = sides;
    for (size_t i = 0; i < plan->n_chuckings; i++) {
        const struct side side = {plan, programs, verdict, i};
        append(sides, &good, side_json(&side));
    }
    sides = whole(sides, good);
    json_t *root = json_object();
    good = root;
    set(root, &good, "format", json_string("staffwright.passes/1"));
    set(root, &good, "version", json_string(version));
    set(root, &good, "verdict", json_string(verdict->passes ? "pass" : "fail"));
    set(root, &good, "chuckings", sides);
    good = good && json_dump_callback(root, add_bytes, out,
                                      JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    sw_buf_add(out, "\n");
    json_decref(root);
    return good && !out->failed ? SW_OK : SW_MEMORY;
}
