/* What post writes, read by the reader of the standard, is the path on the grid: every move, feed,
 * speed, tool, pause and end. The two share no code; only this test holds both. */
#include "test_post_sample.h"

#include "base/num.h"
#include "ncread/ncread.h"

/* Places that cannot be mistaken for one another. */
static struct sw_ncread_start start_of(bool has_tool_offsets)
{
    struct sw_ncread_start start = {.at = {77, 55}, .n_tools = 9};
    for (int i = 0; i < SW_NCREAD_SYSTEMS; i++)
        start.origin[i] = (struct sw_motion_pt){3.5 + i, -20.25 - 2 * i};
    for (int i = 1; has_tool_offsets && i < 10; i++)
        start.tool_offset[i] = (struct sw_motion_pt){0.125 * i, 7 + i};
    return start;
}

struct comparer {
    const struct sw_machine *machine;
    const struct sw_ncread_start *start;
    const struct sw_motion *motion;
    size_t next;            /* motion event */
    struct sw_motion_pt at; /* as the path rounds, in the tool's own numbers, X on radius */
    bool is_placed;
    int station;
    double speed;
    bool takes_up_offsets;
    double correction;   /* now in, on radius */
    double corrected_by; /* what #101 holds */
};

static double on_grid(double value, double factor)
{
    return sw_num_round(value * factor, 4) / factor;
}

static const struct sw_motion_event *take(struct comparer *c, enum sw_motion_kind kind)
{
    /* Messages are looked at apart, and a spindle that is told to stand while it stands may or may
     * not count as an event. */
    while (c->next < c->motion->n &&
           (c->motion->at[c->next].kind == SW_MOTION_MESSAGE ||
            (c->motion->at[c->next].kind == SW_MOTION_DWELL && kind != SW_MOTION_DWELL) ||
            (c->motion->at[c->next].kind == SW_MOTION_SPINDLE && kind != SW_MOTION_SPINDLE)))
        c->next++;
    assert_true(c->next < c->motion->n);
    const struct sw_motion_event *m = &c->motion->at[c->next++];
    if (m->kind != kind)
        fail_msg("line %u: kind %d, wanted %d", m->line, (int)m->kind, (int)kind);
    return m;
}

/* From the tool's own numbers to the machine. */
static struct sw_motion_pt in_machine(const struct comparer *c, struct sw_motion_pt at)
{
    const bool by_system = c->machine->control.tool_offsets.value == SW_OFFSET_BY_SYSTEM;
    const struct sw_motion_pt origin = c->start->origin[by_system ? c->station - 1 : 0];
    const struct sw_motion_pt offset = c->start->tool_offset[c->station];
    return (struct sw_motion_pt){origin.x + offset.x + at.x + c->correction,
                                 origin.z + offset.z + at.z};
}

static void compare_move(struct comparer *c, const struct sw_path_event *e)
{
    const double factor = c->machine->control.x.value == SW_X_DIAMETER ? 2 : 1;
    const struct sw_motion_pt to = {on_grid(e->to.r, factor), on_grid(e->to.z, 1)};
    if (c->is_placed && fabs(to.x - c->at.x) < 1e-9 && fabs(to.z - c->at.z) < 1e-9)
        return;
    static const enum sw_motion_kind kinds[] = {[SW_PATH_RAPID] = SW_MOTION_RAPID,
                                                [SW_PATH_LINE] = SW_MOTION_LINE,
                                                [SW_PATH_ARC] = SW_MOTION_ARC};
    const struct sw_motion_pt wanted = in_machine(c, to);
    const struct sw_motion_event *m;
    double swept = 0;
    do {
        m = take(c, kinds[e->kind]);
        if (e->kind == SW_PATH_ARC) {
            const struct sw_motion_pt centre =
                in_machine(c, (struct sw_motion_pt){e->centre.r, e->centre.z});
            assert_int_equal(m->turn, e->turn);
            assert_near(m->radius_from, m->radius_to, 2e-4 + 1e-9);
            /* Start rounded by half a digit, centre by one and a half. */
            assert_near(m->centre.x, centre.x, 2e-4 + 1e-9);
            assert_near(m->centre.z, centre.z, 2e-4 + 1e-9);
            const double a = atan2(m->from.x - m->centre.x, m->from.z - m->centre.z);
            const double b = atan2(m->to.x - m->centre.x, m->to.z - m->centre.z);
            const double sweep = (b - a) * m->turn;
            swept += sweep < 0 ? sweep + 2 * sample_pi : sweep;
        }
        assert_true(swept < 2 * sample_pi);
    } while (e->kind == SW_PATH_ARC &&
             (fabs(m->to.x - wanted.x) > 1e-9 || fabs(m->to.z - wanted.z) > 1e-9));
    assert_near(m->to.x, wanted.x, 1e-9);
    assert_near(m->to.z, wanted.z, 1e-9);
    if (c->is_placed && e->kind != SW_PATH_ARC) {
        const struct sw_motion_pt from = in_machine(c, c->at);
        assert_near(m->from.x, from.x, 1e-9);
        assert_near(m->from.z, from.z, 1e-9);
    }
    assert_false(m->state.is_continuous);
    if (e->kind != SW_PATH_RAPID) {
        const bool is_per_turn = c->machine->control.feed_per_turn.value == 1;
        assert_int_equal(m->state.feed_mode,
                         is_per_turn ? SW_MOTION_PER_TURN : SW_MOTION_PER_MINUTE);
        assert_near(m->state.feed, is_per_turn ? e->feed : e->feed * c->speed, 1e-9);
        assert_int_not_equal(m->state.spindle, SW_MOTION_STOPPED);
        assert_near(m->state.speed, c->speed, 1e-9);
    }
    c->at = to;
    c->is_placed = true;
}

static void compare_event(struct comparer *c, const struct sw_path_event *e)
{
    switch (e->kind) {
    case SW_PATH_COMMENT:
    case SW_PATH_SECTION:
        break;
    case SW_PATH_TOOL:
        c->is_placed = false;
        c->station = e->station;
        if (c->machine->control.tool_words.value)
            assert_int_equal(take(c, SW_MOTION_TOOL)->state.tool, e->station);
        break;
    case SW_PATH_SPINDLE: {
        c->speed = e->speed;
        const struct sw_motion_event *m = take(c, SW_MOTION_SPINDLE);
        while (m->state.spindle == SW_MOTION_STOPPED)
            m = take(c, SW_MOTION_SPINDLE);
        assert_int_equal(m->state.spindle, e->is_ccw ? SW_MOTION_CCW : SW_MOTION_CW);
        assert_near(m->state.speed, e->speed, 1e-9);
        assert_true(take(c, SW_MOTION_DWELL)->seconds > 0);
        break;
    }
    case SW_PATH_STOP:
        assert_int_equal(take(c, SW_MOTION_SPINDLE)->state.spindle, SW_MOTION_STOPPED);
        break;
    case SW_PATH_RAPID:
    case SW_PATH_LINE:
    case SW_PATH_ARC:
        compare_move(c, e);
        break;
    case SW_PATH_DWELL:
        assert_near(take(c, SW_MOTION_DWELL)->seconds, 0.3, 1e-9); /* 0.25 rounded up */
        break;
    case SW_PATH_PAUSE: {
        const struct sw_motion_event *m = take(c, SW_MOTION_PAUSE);
        assert_false(m->is_optional);
        assert_int_equal(m->state.spindle, SW_MOTION_STOPPED);
        /* Where the operator corrects by the tool's offset, it is taken up anew. */
        if (c->takes_up_offsets)
            assert_int_equal(take(c, SW_MOTION_TOOL)->state.tool, c->station);
        break;
    }
    case SW_PATH_SECOND:
        assert_int_equal(take(c, SW_MOTION_SECOND)->is_taken, e->is_on);
        break;
    case SW_PATH_CORRECT:
        c->correction = e->is_on ? c->corrected_by : 0;
        c->is_placed = false;
        break;
    case SW_PATH_END:
        take(c, SW_MOTION_END);
        break;
    }
}

/* Write, put VALUE into the one correction, read, compare. */
static void write_read_compare(const char *dialect, const struct sw_machine *machine, double value)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *post = sample_dialect(dialect, &ctx);
    const struct sw_path path =
        sw_post_has_corrections(post) ? sample_path(&ctx) : sample_plain_path(&ctx);
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, post, &path, machine, &ctx), SW_OK);
    const struct sw_ncread_start start =
        start_of(machine->control.tool_offsets.value == SW_OFFSET_WITH_TOOL);
    size_t event = 0;
    for (size_t i = 0; i < out.n; i++) {
        char *text = sw_arena_copy(ctx.arena, out.at[i].text, out.at[i].size);
        char *setting = strstr(text, "#101=0.0000"), number[SW_NUM_SIZE];
        if (setting && value != 0) { /* as the operator writes over it: "#101=-0.002" */
            assert_true(sw_num_format(number, value, 3));
            assert_int_equal(strlen(number), 6);
            memcpy(setting + 5, number, 6);
        }
        struct sw_motion motion = {0};
        const enum sw_status status = sw_ncread_text(&motion, out.at[i].file, text, out.at[i].size,
                                                     &machine->control, &start, &ctx);
        if (status != SW_OK)
            fail_msg("%s: %s", dialect, sw_test_diagnostics(&ctx));
        assert_true(motion.has_ended);
        struct comparer c = {.machine = machine,
                             .start = &start,
                             .motion = &motion,
                             .takes_up_offsets = strcmp(dialect, "turning") == 0,
                             .corrected_by = value};
        while (event < path.n) {
            const struct sw_path_event *e = &path.at[event];
            if (out.n == 2 && i == 0 && e->kind == SW_PATH_TOOL && e->station == 2)
                break;
            compare_event(&c, e);
            event++;
        }
        if (out.n == 2 && i == 0)
            take(&c, SW_MOTION_END);
        assert_int_equal(c.next, motion.n);
    }
    assert_int_equal(event, path.n);
    sw_test_ctx_free(&ctx);
}

static void strict_reads_back_as_the_path(void **state)
{
    (void)state;
    const struct sw_machine machine = sample_machine();
    write_read_compare("strict", &machine, 0);
    write_read_compare("strict", &machine, -0.002);
}

static void file_per_tool_reads_back_as_the_path(void **state)
{
    (void)state;
    struct sw_machine machine = sample_machine();
    machine.control.tool_offsets.value = SW_OFFSET_NONE;
    machine.control.tool_words.value = 0;
    write_read_compare("strict-file-per-tool", &machine, 0);
    write_read_compare("strict-file-per-tool", &machine, -0.002);
}

static void turning_reads_back_as_the_path(void **state)
{
    (void)state;
    struct sw_machine machine = sample_turning_machine();
    write_read_compare("turning-parameters", &machine, 0);
    write_read_compare("turning-parameters", &machine, -0.002);
    machine.control.parameters.value = 0;
    machine.control.line_length.value = 80;
    write_read_compare("turning", &machine, 0);
}

/* The offset of tool 1 is changed while the program waits: what follows cuts by the new one. */
static void a_changed_offset_acts_behind_the_pause(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_turning_machine();
    const struct sw_path path = sample_plain_path(&ctx);
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, sample_dialect("turning", &ctx), &path, &machine, &ctx),
                     SW_OK);
    const char *pause = strstr(out.at[0].text, "\nM0\n"), *tool = strstr(pause, "\nT1 M6\n");
    const char *move = strstr(pause, "\nG0 ");
    assert_non_null(pause);
    assert_non_null(tool);
    assert_true(tool < move);
    /* Both axes are stated anew. */
    assert_memory_equal(move, "\nG0 X0.1140 Z0.2000\n", 20);
    sw_test_ctx_free(&ctx);
}

/* "Finish the pivot" stands at the line told, and from there on everything is stated anew. */
static void a_section_tells_its_line_and_states_all_modes(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    static const char *const dialects[] = {"strict", "strict-file-per-tool"};
    for (size_t d = 0; d < 2; d++) {
        const struct sw_machine machine = sample_machine();
        const struct sw_path path = sample_path(&ctx);
        struct sw_post_programs out = {0};
        assert_int_equal(
            sw_post_write(&out, sample_dialect(dialects[d], &ctx), &path, &machine, &ctx), SW_OK);
        size_t n = 0;
        for (size_t i = 0; i < out.n; i++) {
            for (size_t k = 0; k < out.at[i].n_sections; k++, n++) {
                static const char *const wanted[] = {
                    "(Rough the pivot [upper], dia 0.110, 2 um)\nG21 G18 G40 G90 G94 G61 G",
                    "(Finish the pivot)\nG21 G18 G40 G90 G94 G61 G",
                    "(Part to a neck)\nG21 G18 G40 G90 G94 G61 G"};
                const char *line = out.at[i].text;
                for (size_t l = 1; l < out.at[i].section_line[k]; l++)
                    line = strchr(line, '\n') + 1;
                assert_true(n < 3);
                assert_memory_equal(line, wanted[n], strlen(wanted[n]));
            }
        }
        assert_int_equal(n, 3);
    }
    sw_test_ctx_free(&ctx);
}

static void a_surface_speed_reads_back_with_its_clamp(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_turning_machine();
    const struct sw_post *post = sample_dialect("turning", &ctx);
    struct sw_path path = {.stem = "surface"};
    sample_tool(&path, &ctx, 3);
    sample_surface(&path, &ctx, 30, 5000);
    sample_rapid(&path, &ctx, 0, 2);
    sample_line(&path, &ctx, 0, -0.02, 0.01);
    sample_add(&path, &ctx, SW_PATH_STOP);
    sample_add(&path, &ctx, SW_PATH_END);
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, post, &path, &machine, &ctx), SW_OK);
    const struct sw_ncread_start start = start_of(true);
    struct sw_motion motion = {0};
    if (sw_ncread_text(&motion, "surface.nc", out.at[0].text, out.at[0].size, &machine.control,
                       &start, &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    size_t n_lines = 0;
    for (size_t i = 0; i < motion.n; i++) {
        if (motion.at[i].kind != SW_MOTION_LINE)
            continue;
        n_lines++;
        assert_true(motion.at[i].state.is_surface_speed);
        assert_near(motion.at[i].state.speed, 30, 1e-9);
        assert_near(motion.at[i].state.speed_clamp, 5000, 1e-9);
    }
    assert_int_equal(n_lines, 1);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strict_reads_back_as_the_path),
        cmocka_unit_test(file_per_tool_reads_back_as_the_path),
        cmocka_unit_test(turning_reads_back_as_the_path),
        cmocka_unit_test(a_changed_offset_acts_behind_the_pause),
        cmocka_unit_test(a_section_tells_its_line_and_states_all_modes),
        cmocka_unit_test(a_surface_speed_reads_back_with_its_clamp),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
