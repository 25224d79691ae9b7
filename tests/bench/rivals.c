/* The planner's schedules against plainer ways of working under the same limits, and against what
 * no schedule can beat. Every plan is written out as programs and judged by the dry run; times are
 * the judge's.
 *
 * usage: rivals ROOT CSV
 * Writes one row a job of ROOT/samples to CSV, prints `plan.*` of the worst job of each. Pauses to
 * measure and to try parts are left out of all plans: hands take their own time.
 *
 * Compared is the time of turning: both programs less facing, recess and parting, which are the
 * same for all. A rival that cannot keep the limits, or whose programs fail their dry run, is
 * infeasible and counted apart. The lower bound (plan/bound.h) is of cutting and moving alone; no
 * plan or rival may take less. Size errors are the most that bending by the last cut of a zone
 * may leave on its diameter, over the band of the force: on the path as drawn, and with the path
 * drawn in by the nominal bending. */
#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "base/file.h"
#include "mech/feedtime.h"
#include "plan/bound.h"
#include "report/op_time.h"

enum { N_WAYS = 4 };

/* Worst planned load, and where. */
struct worst {
    double value;
    const char *what;
    size_t side, pass;
};

struct result {
    enum sw_status status;
    bool passes;
    struct sw_times times;
    double turning; /* s, see above */
    double pure;    /* cutting and moving of it */
    double fine; /* of last cuts: cutting, and the ways from and to where nothing is in the way */
    size_t n_passes;
    struct worst bend, stress;
    struct worst off_plain, off_drawn; /* of diameters by the band of the force [mm] */
    struct sw_plan_bound bound;
};

static bool is_turning(enum sw_op_kind kind)
{
    return kind == SW_OP_ROUGH || kind == SW_OP_TROUGH || kind == SW_OP_SEMI ||
           kind == SW_OP_FINISH;
}

static void keep_worst(struct worst *worst, double value, const struct sw_op *op, size_t side,
                       size_t pass)
{
    if (isfinite(value) && value > worst->value)
        *worst = (struct worst){value, op->what, side, pass};
}

static double last_cut_ways(const struct sw_op *op, const struct sw_machine *machine)
{
    const struct sw_axis_limits x = {machine->rapid.x.value / 60, machine->acceleration.x.value,
                                     HUGE_VAL};
    double seconds = 0;
    for (size_t i = 0; i < op->n_passes; i++) {
        const struct sw_pass *pass = &op->pass[i];
        const struct sw_pt begin = pass->run.at[0].a, end = pass->run.at[pass->run.n - 1].b;
        const double per_s = sw_plan_air_feed(op->tool, op->feed, op->speed) * op->speed / 60;
        seconds += (sw_pt_distance(pass->from, begin) + sw_pt_distance(end, pass->lift)) / per_s +
                   sw_feed_time(fabs(pass->back_r - pass->from.r), &x) +
                   sw_feed_time(fabs(pass->back_r - pass->lift.r), &x);
    }
    return seconds;
}

static void add_op(struct result *out, const struct sw_op *op, const struct sw_times *time,
                   size_t side, const struct sw_machine *machine)
{
    out->n_passes += op->n_passes;
    if (!is_turning(op->kind)) {
        out->turning -= time->cutting + time->waiting;
        return;
    }
    out->pure += time->cutting + time->moving;
    if (op->kind == SW_OP_SEMI || op->kind == SW_OP_FINISH)
        out->fine += time->cutting + last_cut_ways(op, machine);
    if (op->kind == SW_OP_FINISH) {
        keep_worst(&out->off_plain, op->off_plain, op, side, 0);
        keep_worst(&out->off_drawn, op->off_drawn_in, op, side, 0);
    }
    for (size_t i = 0; i < op->n_passes; i++) {
        keep_worst(&out->bend, op->pass[i].load.bend, op, side, i);
        keep_worst(&out->stress, op->pass[i].load.stress, op, side, i);
    }
}

static void add_up(struct result *out, const struct sw_work *work)
{
    const struct sw_plan *plan = work->plan;
    out->passes = work->verdict->passes;
    for (size_t side = 0; side < plan->n_chuckings; side++) {
        const struct sw_times all = sw_report_side_times(work->verdict, side);
        out->times.cutting += all.cutting;
        out->times.moving += all.moving;
        out->times.changing += all.changing;
        out->times.waiting += all.waiting;
        for (size_t i = 0; i < plan->chucking[side].n_ops; i++) {
            const struct sw_times time =
                sw_report_op_times(plan, work->programs, work->verdict, side, i);
            add_op(out, &plan->chucking[side].op[i], &time, side, plan->shop->machine);
        }
    }
    out->turning += sw_times_sum(&out->times);
}

static enum sw_status judge(struct sw_work *work, const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_app_text *text;
    struct sw_setup *setup = NULL;
    struct sw_buf record = {0};
    size_t n;
    SW_TRY(sw_app_write_job(work, ".", app, ctx));
    SW_TRY(sw_app_program_texts(&text, &n, work, ctx));
    sw_setup_write(work->setup, &record);
    enum sw_status status =
        record.failed ? SW_MEMORY
                      : sw_setup_parse(&setup, "setup.yaml", sw_buf_text(&record), record.n, ctx);
    if (status == SW_OK)
        status = sw_app_judge(&work->verdict, text, n, setup, work->shop, work->shape, false, ctx);
    sw_buf_done(&record);
    return status;
}

static enum sw_status run(struct result *out, struct sw_work *work, const char *path,
                          enum sw_plan_ties ties, const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_plan *plan = NULL;
    struct sw_plan_found found = {0};
    SW_TRY(sw_app_load_job(work, path, app, ctx));
    struct sw_job *job = SW_NEW(ctx->arena, struct sw_job, 1);
    if (!job)
        return SW_MEMORY;
    *job = *work->job;
    job->measure.value = job->try_parts.value = 0;
    work->job = job;
    struct sw_plan_task task = {.job = job,
                                .shop = work->shop,
                                .shape = work->shape,
                                .post = work->post,
                                .ties = ties,
                                .bound = ties == SW_TIES_NONE ? &out->bound : NULL};
    SW_TRY(sw_plan_choose(&plan, &found, &task, ctx));
    work->plan = plan;
    SW_TRY(judge(work, app, ctx));
    add_up(out, work);
    return SW_OK;
}

/* ---- the table ---- */

static void seconds(struct sw_buf *csv, double value)
{
    sw_buf_add(csv, ",");
    if (isfinite(value))
        sw_buf_fixed(csv, value, 1);
    else
        sw_buf_add(csv, "infeasible");
}

static void value(struct sw_buf *csv, double value, int decimals)
{
    sw_buf_add(csv, ",");
    sw_buf_fixed(csv, value, decimals);
}

static void where(struct sw_buf *csv, const struct worst *worst, double unit, int decimals)
{
    value(csv, worst->value * unit, decimals);
    sw_buf_printf(csv, ",\"side %zu: %s, pass %zu\"", worst->side + 1, worst->what,
                  worst->pass + 1);
}

/* How the first side is held. */
enum group { REVERSED, IN_BUSH, IN_ONE_GRIP };

/* What the best rival with one depth needs, and the figures of the job. */
struct figures {
    double vs[N_WAYS]; /* time over own; [0]: unused */
    double over_bound, over_simple;
    bool is_feasible[N_WAYS];
    enum group group;
};

static double bound_of(const struct result *own, double rough)
{
    return rough + own->bound.trough_s + own->fine + own->bound.ways_s;
}

static void add_row(struct sw_buf *csv, struct figures *figures, const char *name,
                    const char *dialect, const struct result result[N_WAYS])
{
    const struct result *own = &result[0];
    const double air = own->times.moving + own->times.changing + own->times.waiting;
    double fixed = HUGE_VAL;
    for (int way = 1; way < N_WAYS; way++) {
        figures->is_feasible[way] = result[way].status == SW_OK && result[way].passes;
        figures->vs[way] =
            figures->is_feasible[way] ? result[way].turning / own->turning : HUGE_VAL;
        if (figures->is_feasible[way])
            fixed = fmin(fixed, result[way].turning);
    }
    figures->over_bound = own->pure / bound_of(own, own->bound.sharp_s);
    figures->over_simple = own->pure / bound_of(own, own->bound.simple_s);
    sw_buf_printf(csv, "%s,%s", name, dialect);
    seconds(csv, own->times.cutting);
    seconds(csv, air);
    sw_buf_printf(csv, ",%zu", own->n_passes);
    seconds(csv, own->turning);
    for (int way = 1; way < N_WAYS; way++)
        seconds(csv, figures->is_feasible[way] ? result[way].turning : HUGE_VAL);
    seconds(csv, fixed);
    seconds(csv, own->pure);
    seconds(csv, bound_of(own, own->bound.sharp_s));
    where(csv, &own->bend, 1000, 2);
    where(csv, &own->stress, 1, 0);
    value(csv, own->off_plain.value * 1000, 2);
    value(csv, own->off_drawn.value * 1000, 2);
    sw_buf_add(csv, "\n");
}

static const char head[] =
    "job,dialect,cutting_s,air_s,passes,turning_s,one_depth_s,free_finish_s,two_level_s,"
    "best_fixed_depth_s,turning_cut_and_move_s,lower_bound_s,worst_bend_um,worst_bend_at,"
    "worst_stress_mpa,worst_stress_at,size_error_before_um,size_error_after_um\n";

/* False, and said, when a plan takes less than what none can beat. */
static bool is_bound(const char *path, const struct result result[N_WAYS])
{
    const double bound = bound_of(&result[0], result[0].bound.sharp_s);
    for (int way = 0; way < N_WAYS; way++) {
        if (result[way].status != SW_OK || !result[way].passes || result[way].pure >= bound)
            continue;
        fprintf(stderr, "%s: plan %d takes %.2f s, less than the bound of %.2f\n", path, way,
                result[way].pure, bound);
        return false;
    }
    return true;
}

/* One job, all ways. False when its own plan fails. */
static bool compare(struct sw_buf *csv, struct figures *figures, const char *path,
                    const struct sw_app *app)
{
    struct result result[N_WAYS] = {0};
    char name[64] = "", dialect[64] = "";
    struct sw_ctx ctx[N_WAYS] = {0};
    bool good = true;
    for (int way = 0; way < N_WAYS; way++) {
        struct sw_work work = {0};
        ctx[way] = (struct sw_ctx){sw_arena_new(), sw_diag_new()};
        good = good && ctx[way].arena && ctx[way].diag;
        if (!good)
            break;
        result[way].status = run(&result[way], &work, path, (enum sw_plan_ties)way, app, &ctx[way]);
        if (way > 0 || result[way].status != SW_OK)
            continue;
        const struct sw_plan_chucking *first = &work.plan->chucking[0];
        figures->group = first->in_bush             ? IN_BUSH
                         : first->neck.diameter > 0 ? IN_ONE_GRIP
                                                    : REVERSED;
        snprintf(name, sizeof name, "%s", work.job->name.value);
        snprintf(dialect, sizeof dialect, "%s", sw_post_name(work.post));
    }
    const bool is_made = good && result[0].status == SW_OK && result[0].passes;
    if (!is_made)
        fprintf(stderr, "%s: its own programs do not pass\n", path);
    good = is_made && is_bound(path, result);
    if (good)
        add_row(csv, figures, name, dialect, result);
    for (int way = 0; way < N_WAYS; way++) {
        sw_diag_free(ctx[way].diag);
        sw_arena_free(ctx[way].arena);
    }
    return good;
}

static void say(const char *prefix, const char *name, double value, size_t n_infeasible)
{
    printf("%s.%s: %.3f times the time of the plan, at the worst job", prefix, name, value);
    if (n_infeasible > 0)
        printf(" (%zu infeasible)", n_infeasible);
    printf("\n");
}

/* Of jobs held alike: a bar that is drawn back only so far, each zone on its own, is further from
 * what the bound allows; of the side behind the hub it knows nothing. */
static void say_worst(const char *prefix, const struct figures *figures, size_t n, enum group group)
{
    static const char *const names[N_WAYS] = {NULL, "vs_one_depth", "vs_free_finish",
                                              "vs_two_level"};
    double over = 0, over_simple = 0;
    for (int way = 1; way < N_WAYS; way++) {
        double least = HUGE_VAL;
        size_t n_infeasible = 0;
        for (size_t i = 0; i < n; i++) {
            if (figures[i].group != group)
                continue;
            least = fmin(least, figures[i].vs[way]);
            n_infeasible += !figures[i].is_feasible[way];
        }
        say(prefix, names[way], least, n_infeasible);
    }
    for (size_t i = 0; i < n && group != IN_ONE_GRIP; i++) {
        if (figures[i].group != group)
            continue;
        over = fmax(over, figures[i].over_bound);
        over_simple = fmax(over_simple, figures[i].over_simple);
    }
    if (group == IN_ONE_GRIP)
        return;
    printf("%s.over_bound: %.3f times the lower bound that counts passes, at the worst job\n",
           prefix, over);
    printf("%s.over_simple_bound: %.3f times the simple one\n", prefix, over_simple);
}

int main(int argc, char **argv)
{
    enum { MOST_JOBS = 32, MOST_PATH = 4096 };
    static const char usage[] = "usage: rivals ROOT CSV\n";
    char profiles[MOST_PATH], pattern[MOST_PATH];
    if (argc != 3) {
        fputs(usage, stderr);
        return 2;
    }
    snprintf(profiles, sizeof profiles, "%s/profiles", argv[1]);
    snprintf(pattern, sizeof pattern, "%s/samples/*/job*.yaml", argv[1]);
    const char *const roots[] = {profiles, NULL};
    const struct sw_app app = {.version = "bench", .search = {roots}};
    struct figures figures[MOST_JOBS];
    glob_t jobs = {0};
    if (glob(pattern, 0, NULL, &jobs) != 0 || jobs.gl_pathc > MOST_JOBS)
        return 5;
    struct sw_buf csv = {0};
    sw_buf_add(&csv, head);
    bool good = true;
    for (size_t i = 0; good && i < jobs.gl_pathc; i++)
        good = compare(&csv, &figures[i], jobs.gl_pathv[i], &app);
    if (good) {
        say_worst("plan", figures, jobs.gl_pathc, REVERSED);
        say_worst("bush", figures, jobs.gl_pathc, IN_BUSH);
        say_worst("single", figures, jobs.gl_pathc, IN_ONE_GRIP);
    }
    FILE *file = good && !csv.failed ? fopen(argv[2], "wb") : NULL;
    good = file && fwrite(sw_buf_text(&csv), 1, csv.n, file) == csv.n;
    if (file)
        good = fclose(file) == 0 && good;
    sw_buf_done(&csv);
    globfree(&jobs);
    return good ? 0 : 5;
}
