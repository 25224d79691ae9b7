/* What the tests of ncread share: a control that is the bare standard, and reading a text. */
#ifndef SW_TESTS_NCREAD_PROGRAM_H
#define SW_TESTS_NCREAD_PROGRAM_H

#include "support/near.h"

#include <string.h>

#include "ncread/ncread.h"

enum { PROGRAM_TOOLS = 20 };

/** Nothing given, nothing defaulted: every fact is the standard's. */
static inline struct sw_control program_standard(void)
{
    const struct sw_choice open = {.value = -1};
    return (struct sw_control){
        .x = open,
        .i = open,
        .units = open,
        .feed_words = open,
        .feed_per_turn = open,
        .surface_speed = open,
        .speed_clamp = open,
        .dwell = open,
        .tool_offsets = open,
        .arcs = open,
        .spindle_words = open,
        .tool_words = open,
        .incremental_u_w = open,
        .threading = open,
        .comments = open,
        .parameters = open,
    };
}

static inline struct sw_choice program_fact(int value)
{
    return (struct sw_choice){.value = value, .given = true};
}

struct program {
    struct sw_ctx ctx;
    struct sw_control control;
    struct sw_ncread_start start;
    struct sw_motion motion;
    enum sw_status status;
};

static inline struct program program_new(void)
{
    struct program p = {.ctx = sw_test_ctx(), .control = program_standard()};
    p.start.n_tools = PROGRAM_TOOLS;
    return p;
}

static inline void program_read_bytes(struct program *p, const char *text, size_t size)
{
    p->status = sw_ncread_text(&p->motion, "test.nc", text, size, &p->control, &p->start, &p->ctx);
}

static inline void program_read(struct program *p, const char *text)
{
    program_read_bytes(p, text, strlen(text));
}

/** Read a text that must be without fault. */
static inline void program_read_clean(struct program *p, const char *text)
{
    program_read(p, text);
    if (p->status != SW_OK)
        print_error("%s", sw_test_diagnostics(&p->ctx));
    assert_int_equal(p->status, SW_OK);
    assert_int_equal(sw_diag_n(p->ctx.diag), 0);
}

static inline void program_free(struct program *p)
{
    sw_test_ctx_free(&p->ctx);
}

/** The i-th event of one kind. */
static inline const struct sw_motion_event *program_nth(const struct program *p,
                                                        enum sw_motion_kind kind, size_t i)
{
    for (size_t k = 0; k < p->motion.n; k++)
        if (p->motion.at[k].kind == kind && i-- == 0)
            return &p->motion.at[k];
    fail_msg("the program has no such event");
    return NULL;
}

static inline size_t program_count(const struct program *p, enum sw_motion_kind kind)
{
    size_t n = 0;
    for (size_t k = 0; k < p->motion.n; k++)
        n += p->motion.at[k].kind == kind;
    return n;
}

static inline const struct sw_motion_event *program_last(const struct program *p)
{
    assert_true(p->motion.n > 0);
    return &p->motion.at[p->motion.n - 1];
}

#endif
