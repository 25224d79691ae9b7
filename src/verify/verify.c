#include "verify/verify.h"

#include <math.h>
#include <string.h>

#include "verify/judge.h"

/* What the reader found wrong with a text. */
static enum sw_status text_findings(struct sw_judge *judge)
{
    const struct sw_verify_program *program = &judge->program[judge->program_now];
    const size_t n = sw_diag_n(judge->ctx->diag);
    if (!program->text_is_wrong)
        return SW_OK;
    for (size_t i = 0; i < n; i++) {
        const struct sw_diag_record *record = sw_diag_at(judge->ctx->diag, i);
        const bool is_control = strncmp(record->code, "control.", strlen("control.")) == 0;
        const bool is_block = strncmp(record->code, "block.", strlen("block.")) == 0;
        if (record->at.source != program->motion->source || (!is_control && !is_block))
            continue;
        struct sw_finding finding = sw_judge_at(
            judge, is_control ? SW_FINDING_CONTROL : SW_FINDING_BLOCK, record->severity, NULL);
        finding.line = record->at.line;
        finding.column = record->at.column;
        /* each has its own place: the key keeps them apart */
        SW_TRY(sw_judge_add(judge, finding, (int)i, "%s", record->message));
    }
    return SW_OK;
}

static bool is_move(const struct sw_motion_event *event)
{
    return event->kind == SW_MOTION_RAPID || event->kind == SW_MOTION_LINE ||
           event->kind == SW_MOTION_ARC;
}

/* The corner between the move made last and the one before it in the same program. */
static enum sw_status blend_before(struct sw_judge *judge, size_t program_first)
{
    const struct sw_sim *sim = judge->sim;
    size_t before = sim->moves.n - 1;
    while (before > program_first && sim->moves.at[before - 1].length == 0)
        before--;
    if (before == program_first || sim->moves.at[sim->moves.n - 1].length == 0)
        return SW_OK;
    return sw_judge_blend(judge, &sim->moves.at[before - 1], &sim->moves.at[sim->moves.n - 1]);
}

static enum sw_status run_program(struct sw_judge *judge)
{
    const struct sw_verify_program *program = &judge->program[judge->program_now];
    struct sw_program_verdict *verdict = &judge->verdict->program[judge->program_now];
    struct sw_sim *sim = judge->sim;
    double before[2], after[2];
    *verdict = (struct sw_program_verdict){.file = program->name,
                                           .chucking = (int)sim->n_sides,
                                           .n_blocks = program->motion->n_blocks};
    SW_TRY(text_findings(judge));
    SW_TRY(sw_judge_hands(judge));
    const size_t n_loose = sim->loose.n, program_first = sim->moves.n;
    SW_TRY(sw_sim_volume(before, sim));
    sw_sim_begin_program(sim);
    judge->is_turning = false;
    judge->clock = (struct sw_clock){0};
    for (size_t i = 0; i < program->motion->n; i++) {
        if (judge->watch != NULL)
            SW_TRY(judge->watch->before(judge->program_now, i, judge->verdict, judge->watch->user));
        const struct sw_motion_event *event = &program->motion->at[i];
        const size_t n_contacts = sim->contacts.n, n_fallen = sim->loose.n;
        if (!sw_judge_stretch_goes_on(judge, event))
            SW_TRY(sw_judge_stretch_end(judge));
        SW_TRY(sw_sim_step(sim, event));
        SW_TRY(sw_judge_contacts(judge, n_contacts));
        SW_TRY(sw_judge_stretch_add(judge, event));
        if (is_move(event))
            sw_judge_slide(judge, event);
        SW_TRY(sw_judge_drive(judge, event));
        SW_TRY(sw_judge_second(judge, event, n_fallen));
        if (is_move(event)) {
            if (judge->stretch.n == 0)
                SW_TRY(sw_judge_load(judge, &sim->moves.at[sim->moves.n - 1],
                                     sim->kernel->profile(sim->work)));
            SW_TRY(sw_judge_bush(judge, event));
            SW_TRY(blend_before(judge, program_first));
        }
        double seconds = 0;
        SW_TRY(sw_judge_time(&seconds, judge, event));
        judge->turned += seconds;
        verdict->n_moves += is_move(event);
    }
    SW_TRY(sw_judge_stretch_end(judge));
    SW_TRY(sw_judge_time_end(judge));
    sw_sim_end_program(sim);
    SW_TRY(sw_sim_volume(after, sim));
    verdict->removed_mm3 = (before[0] + before[1] - after[0] - after[1]) / 2;
    for (size_t i = n_loose; i < sim->loose.n; i++)
        verdict->removed_mm3 -= sim->loose.at[i].piece.volume; /* fell, was not cut to chips */
    return sw_judge_program_end(judge, program->motion);
}

/* What a slip of a feed makes is told by its findings; beyond this a dwell or a feed means nothing.
 */
static enum sw_status check_seconds(const struct sw_program_verdict *program, struct sw_ctx *ctx)
{
    if (program->seconds <= SW_VERIFY_MOST_SECONDS)
        return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "verify.too-slow", (struct sw_span){0},
                "look for a feed, a dwell or a repeat that is off by its decimal point",
                "%s would run for %.0f h; at most %.0f h are judged", program->file,
                ceil(program->seconds / 3600), SW_VERIFY_MOST_SECONDS / 3600);
    return SW_UNREADABLE;
}

static enum sw_status run_side(struct sw_judge *judge, const struct sw_setup_side *side)
{
    SW_TRY(sw_sim_begin_side(judge->sim));
    SW_TRY(sw_judge_load_side(judge));
    sw_judge_slide_begin(judge);
    judge->second = (struct sw_judge_second){0};
    SW_TRY(sw_judge_grip(judge));
    for (size_t i = 0; i < side->programs.n; i++) {
        SW_TRY(run_program(judge));
        SW_TRY(check_seconds(&judge->verdict->program[judge->program_now], judge->ctx));
        judge->program_now++;
    }
    judge->program_now--; /* what is found at the end of a side belongs to its last program */
    SW_TRY(sw_judge_side_end(judge));
    judge->program_now++;
    if (side->rod_diameter.given)
        judge->verdict->rod_end_z = judge->sim->kernel->box(judge->sim->work).z1;
    return sw_sim_end_side(judge->sim);
}

/* Nothing to compare with: what the verdict does not say must be said. */
static enum sw_status without_shape(struct sw_judge *judge)
{
    const struct sw_finding finding = sw_judge_finding(SW_FINDING_SIZE, SW_WARNING);
    if (judge->setup->staff.value == NULL)
        return sw_judge_add(judge, finding, 6,
                            "no staff is given: what is left is told, and no size of it is judged");
    return sw_judge_add(judge, finding, 5,
                        "no staff is given: sizes are not judged, and its finished length is "
                        "guessed to be %.3f mm from the piece of the first side",
                        judge->sim->total);
}

static enum sw_status judge_all(struct sw_judge *judge)
{
    const struct sw_setup_side *side = judge->setup->sides.at;
    sw_judge_sections(judge);
    SW_TRY(sw_judge_load_begin(judge));
    SW_TRY(sw_judge_piece(judge));
    for (size_t i = 0; i < judge->setup->sides.n; i++)
        SW_TRY(run_side(judge, &side[i]));
    SW_TRY(sw_judge_load_finish(judge));
    if (sw_region_is_empty(sw_sim_left(judge->sim, SW_WORK_MOST))) {
        SW_TRY(sw_judge_add(judge, sw_judge_finding(SW_FINDING_GOUGE, SW_ERROR), 9,
                            "nothing of the work is left"));
    } else {
        SW_TRY(sw_judge_sizes(judge));
        SW_TRY(judge->shape != NULL ? sw_judge_compare(judge) : without_shape(judge));
    }
    return sw_judge_finish(judge);
}

static enum sw_status check_programs(const struct sw_setup *setup, size_t n_programs,
                                     struct sw_ctx *ctx)
{
    const struct sw_setup_side *side = setup->sides.at;
    size_t n = 0;
    for (size_t i = 0; i < setup->sides.n; i++)
        n += side[i].programs.n;
    if (n == n_programs && n > 0)
        return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "verify.programs", (struct sw_span){0}, NULL,
                "the setup record lists %zu programs, %zu are given to be judged", n, n_programs);
    return SW_INPUT;
}

static enum sw_status check_moves(const struct sw_verify_program *program, size_t n_programs,
                                  struct sw_ctx *ctx)
{
    size_t n = 0;
    for (size_t i = 0; i < n_programs; i++)
        for (size_t k = 0; k < program[i].motion->n; k++)
            n += is_move(&program[i].motion->at[k]);
    if (n <= SW_VERIFY_MOST_MOVES)
        return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "verify.moves-most", (struct sw_span){0},
                "a staff takes some thousands", "%s make%s %zu moves; at most %d are judged",
                n_programs == 1 ? program[0].name : "the programs together",
                n_programs == 1 ? "s" : "", n, (int)SW_VERIFY_MOST_MOVES);
    return SW_UNREADABLE;
}

/* What is asked beside a verdict. */
struct asks {
    const struct sw_work_class *kernel;
    const struct sw_verify_watch *watch; /* NULL: none */
    bool by_line;
};

static enum sw_status run(struct sw_verdict **out, const struct asks *asks,
                          const struct sw_verify_program *program, size_t n_programs,
                          const struct sw_setup *setup, const struct sw_shop *shop,
                          const struct sw_shape *shape, struct sw_ctx *ctx)
{
    SW_TRY(check_programs(setup, n_programs, ctx));
    SW_TRY(check_moves(program, n_programs, ctx));
    SW_TRY(sw_judge_by_hand(&program, program, n_programs, setup, shop, ctx));
    struct sw_verdict *verdict = SW_NEW(ctx->arena, struct sw_verdict, 1);
    if (verdict == NULL)
        return SW_MEMORY;
    verdict->passes = true;
    verdict->length_least_mm = verdict->length_most_mm = verdict->rod_end_z = (double)NAN;
    verdict->program = SW_NEW(ctx->arena, struct sw_program_verdict, n_programs);
    verdict->n_programs = n_programs;
    verdict->n_sections = shape != NULL ? shape->staff->n : 0;
    verdict->section = SW_NEW(ctx->arena, struct sw_section_verdict, verdict->n_sections);
    if (verdict->program == NULL || verdict->section == NULL)
        return SW_MEMORY;
    struct sw_judge judge = {.ctx = ctx,
                             .watch = asks->watch,
                             .by_line = asks->by_line,
                             .verdict = verdict,
                             .program = program,
                             .n_programs = n_programs,
                             .setup = setup,
                             .shop = shop,
                             .shape = shape};
    SW_TRY(sw_sim_new_with(&judge.sim, asks->kernel, setup, shop,
                           shape != NULL ? shape->staff->total : (double)NAN, ctx));
    verdict->resolution_um = judge.sim->kernel->resolution() * 1000;
    enum sw_status status = judge_all(&judge);
    for (enum sw_work_which which = 0; which < 2 && status == SW_OK; which++)
        status = sw_region_rings(&verdict->left[which], sw_sim_left(judge.sim, which), ctx);
    if (status == SW_OK && shape == NULL)
        status = sw_judge_left(&judge);
    sw_judge_load_end(&judge);
    sw_sim_free(judge.sim);
    if (judge.piece != NULL)
        sw_kernel_free(judge.piece);
    SW_TRY(status);
    *out = verdict;
    return SW_OK;
}

enum sw_status sw_verify_run(struct sw_verdict **out, const struct sw_verify_program *program,
                             size_t n_programs, const struct sw_setup *setup,
                             const struct sw_shop *shop, const struct sw_shape *shape,
                             struct sw_ctx *ctx)
{
    const struct asks asks = {.kernel = &sw_work_chain};
    return run(out, &asks, program, n_programs, setup, shop, shape, ctx);
}

enum sw_status sw_verify_by_line(struct sw_verdict **out, const struct sw_verify_program *program,
                                 size_t n_programs, const struct sw_setup *setup,
                                 const struct sw_shop *shop, const struct sw_shape *shape,
                                 struct sw_ctx *ctx)
{
    const struct asks asks = {.kernel = &sw_work_chain, .by_line = true};
    return run(out, &asks, program, n_programs, setup, shop, shape, ctx);
}

enum sw_status sw_verify_by_referee(struct sw_verdict **out,
                                    const struct sw_verify_program *program, size_t n_programs,
                                    const struct sw_setup *setup, const struct sw_shop *shop,
                                    const struct sw_shape *shape, struct sw_ctx *ctx)
{
    const struct asks asks = {.kernel = &sw_work_regions};
    return run(out, &asks, program, n_programs, setup, shop, shape, ctx);
}

enum sw_status sw_verify_watched(struct sw_verdict **out, const struct sw_verify_watch *watch,
                                 const struct sw_verify_program *program, size_t n_programs,
                                 const struct sw_setup *setup, const struct sw_shop *shop,
                                 const struct sw_shape *shape, struct sw_ctx *ctx)
{
    const struct asks asks = {.kernel = &sw_work_chain, .watch = watch};
    return run(out, &asks, program, n_programs, setup, shop, shape, ctx);
}
