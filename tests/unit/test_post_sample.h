/* sample: a hand-made path that uses every event, a control of the standard, and loading of the
 * shipped dialects, for the tests of post. */
#ifndef SW_TESTS_POST_SAMPLE_H
#define SW_TESTS_POST_SAMPLE_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "post/inside.h"
#include "support/near.h"

static const double sample_pi = 3.14159265358979323846;

static inline struct sw_path_event *sample_add(struct sw_path *path, struct sw_ctx *ctx,
                                               enum sw_path_kind kind)
{
    assert_true(SW_VEC_PUSH(ctx->arena, path, (struct sw_path_event){.kind = kind}));
    return &path->at[path->n - 1];
}

static inline void sample_text(struct sw_path *path, struct sw_ctx *ctx, enum sw_path_kind kind,
                               const char *text)
{
    sample_add(path, ctx, kind)->text = text;
}

static inline void sample_tool(struct sw_path *path, struct sw_ctx *ctx, int station)
{
    struct sw_path_event *e = sample_add(path, ctx, SW_PATH_TOOL);
    e->station = station;
    e->text = station == 1 ? "point, nose 0.05" : "blade 0.6";
}

static inline void sample_spindle(struct sw_path *path, struct sw_ctx *ctx, double speed,
                                  bool is_ccw)
{
    struct sw_path_event *e = sample_add(path, ctx, SW_PATH_SPINDLE);
    e->speed = speed;
    e->is_ccw = is_ccw;
}

static inline void sample_surface(struct sw_path *path, struct sw_ctx *ctx, double speed,
                                  double clamp)
{
    sample_spindle(path, ctx, speed, false);
    path->at[path->n - 1].is_surface_speed = true;
    path->at[path->n - 1].speed_clamp = clamp;
}

static inline void sample_rapid(struct sw_path *path, struct sw_ctx *ctx, double z, double r)
{
    sample_add(path, ctx, SW_PATH_RAPID)->to = (struct sw_pt){z, r};
}

static inline void sample_line(struct sw_path *path, struct sw_ctx *ctx, double z, double r,
                               double feed)
{
    struct sw_path_event *e = sample_add(path, ctx, SW_PATH_LINE);
    e->to = (struct sw_pt){z, r};
    e->feed = feed;
}

/* From the last position about a centre by SWEEP [degrees]. */
static inline void sample_arc(struct sw_path *path, struct sw_ctx *ctx, double cz, double cr,
                              double sweep, double feed)
{
    const struct sw_pt from = path->at[path->n - 1].to;
    const double radius = hypot(from.z - cz, from.r - cr);
    const double angle = atan2(from.r - cr, from.z - cz) + sweep * sample_pi / 180;
    struct sw_path_event *e = sample_add(path, ctx, SW_PATH_ARC);
    e->centre = (struct sw_pt){cz, cr};
    e->to = (struct sw_pt){cz + radius * cos(angle), cr + radius * sin(angle)};
    e->turn = sweep > 0 ? 1 : -1;
    e->feed = feed;
}

static inline void sample_correct(struct sw_path *path, struct sw_ctx *ctx, int which, bool is_on)
{
    struct sw_path_event *e = sample_add(path, ctx, SW_PATH_CORRECT);
    e->correction = which;
    e->is_on = is_on;
}

/* Every event but a surface speed. */
static inline struct sw_path sample_path(struct sw_ctx *ctx)
{
    static const char *const head[] = {
        "Fenmoor 43, first side",
        "Judged by calculation and not run on a machine; wear eye protection, cut air first, go "
        "block by block, and stop at once when anything differs from the sheet."};
    static const struct sw_path_correction corrections[] = {{"upper pivot, on radius"},
                                                            {"balance seat, on radius"}};
    struct sw_path path = {.stem = "side-1",
                           .head = head,
                           .n_head = 2,
                           .correction = corrections,
                           .n_corrections = 2,
                           .park = {5, 5}};
    sample_text(&path, ctx, SW_PATH_SECTION,
                "Rough the pivot (upper), \xC3\x98 0.110, 2 \xC2\xB5m");
    sample_tool(&path, ctx, 1);
    sample_spindle(&path, ctx, 6000, false);
    sample_rapid(&path, ctx, 5, 1.2);
    sample_rapid(&path, ctx, 0.2, 1.2);
    sample_rapid(&path, ctx, 0.2, 0.0625);
    sample_line(&path, ctx, -0.26, 0.0625, 0.004);
    sample_line(&path, ctx, -0.26003, 0.06252, 0.004); /* moves nothing on the grid */
    sample_line(&path, ctx, -0.26, 0.4, 0.004);
    sample_arc(&path, ctx, -0.56, 0.4, 150, 0.002); /* longer than one arc may be */
    sample_line(&path, ctx, -1, 1.2, 0.01);
    sample_rapid(&path, ctx, 0.2, 1.2);
    sample_add(&path, ctx, SW_PATH_STOP);
    sample_text(&path, ctx, SW_PATH_PAUSE,
                "Measure the upper pivot: 0.114 wanted; write half of what it is too large, "
                "negative, over the number of its correction in the head of the program");
    sample_spindle(&path, ctx, 6000, false);
    sample_text(&path, ctx, SW_PATH_SECTION, "Finish the pivot");
    sample_correct(&path, ctx, 1, true);
    sample_rapid(&path, ctx, 0.2, 0.057);
    sample_line(&path, ctx, -0.2, 0.057, 0.003);
    sample_arc(&path, ctx, -0.2, 0.157, -60, 0.003);
    sample_rapid(&path, ctx, -0.2, 1.2);
    sample_correct(&path, ctx, 1, false);
    sample_rapid(&path, ctx, 5, 1.2);
    sample_add(&path, ctx, SW_PATH_STOP);
    sample_rapid(&path, ctx, 5, 5);
    sample_text(&path, ctx, SW_PATH_COMMENT, "the blade follows");
    sample_text(&path, ctx, SW_PATH_SECTION, "Part to a neck");
    sample_tool(&path, ctx, 2);
    sample_spindle(&path, ctx, 1500, true);
    sample_rapid(&path, ctx, 5, 1.2);
    sample_rapid(&path, ctx, -4.8, 1.2);
    sample_line(&path, ctx, -4.8, 0.3, 0.005);
    sample_add(&path, ctx, SW_PATH_DWELL)->seconds = 0.25;
    sample_rapid(&path, ctx, -4.8, 1.2);
    sample_rapid(&path, ctx, 5, 1.2);
    sample_add(&path, ctx, SW_PATH_STOP);
    sample_rapid(&path, ctx, 5, 5);
    sample_add(&path, ctx, SW_PATH_END);
    return path;
}

/* The same for a dialect that leaves corrections to the tool's offset. */
static inline struct sw_path sample_plain_path(struct sw_ctx *ctx)
{
    struct sw_path path = sample_path(ctx);
    size_t n = 0;
    for (size_t i = 0; i < path.n; i++)
        if (path.at[i].kind != SW_PATH_CORRECT)
            path.at[n++] = path.at[i];
    path.n = n;
    path.n_corrections = 0;
    return path;
}

/* A control that does exactly what the standard says, as machine files default to. */
static inline struct sw_machine sample_machine(void)
{
    struct sw_machine machine = {.name = {.value = "bench lathe"}};
    machine.spindle.most_speed.value = 8000;
    machine.spindle.start_time.value = 2;
    struct sw_control *control = &machine.control;
    control->arcs.value = control->spindle_words.value = control->tool_words.value = 1;
    control->comments.value = control->parameters.value = 1;
    control->line_length.value = 256;
    control->decimals.value = 9;
    return machine;
}

/* A control with the words of the turning dialects. */
static inline struct sw_machine sample_turning_machine(void)
{
    struct sw_machine machine = sample_machine();
    struct sw_control *control = &machine.control;
    control->x.value = SW_X_DIAMETER;
    control->feed_per_turn.value = control->surface_speed.value = 1;
    control->speed_clamp.value = SW_CLAMP_G50;
    control->tool_offsets.value = SW_OFFSET_WITH_TOOL;
    return machine;
}

static inline enum sw_status sample_load(const struct sw_post **post, const char *name,
                                         const char *near_file, struct sw_ctx *ctx)
{
    static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
    const struct sw_search search = {roots};
    return sw_post_load(post, name, near_file, &search, (struct sw_span){0}, ctx);
}

static inline const struct sw_post *sample_dialect(const char *name, struct sw_ctx *ctx)
{
    const struct sw_post *post = NULL;
    const enum sw_status status = sample_load(&post, name, ".", ctx);
    if (status != SW_OK)
        print_error("%s\n", sw_test_diagnostics(ctx));
    assert_int_equal(status, SW_OK);
    return post;
}

/* Write a file into the current folder, where tests run. */
static inline void sample_file(const char *name, const char *text)
{
    FILE *file = fopen(name, "wb");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

#endif
