/* Texts nobody means well with: random bytes, mutated programs, limits, failing memory. */
#include "test_ncread_program.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* xorshift64*, so that a seed means the same everywhere. */
static uint64_t next(uint64_t *seed)
{
    *seed ^= *seed >> 12;
    *seed ^= *seed << 25;
    *seed ^= *seed >> 27;
    return *seed * 2685821657736338717ULL;
}

static size_t below(uint64_t *seed, size_t n)
{
    return (size_t)(next(seed) >> 33) % n;
}

static const char valid[] = "%\n"
                            "(MSG, side one)\n"
                            "N10 G21 G18 G40 G49 G90 G94 G54 G61\n"
                            "N20 T1 M6 S6000 M3 F40\n"
                            "/N30 G0 X2.5 Z0.5 M8\n"
                            "#1=0.11 #2=[#1*2] ##100=3\n"
                            "N40 G1 X[#1 + SIN[30]] Z-0.26\n"
                            "N50 G2 X1.5 Z-0.7 I0.9 K0.01\n"
                            "N60 G3 X2 Z-1.2 R0.5 F12.5\n"
                            "N70 G4 P0.5\n"
                            "N80 G91 X-0.1 G92 \n"
                            "N90 G90 G17 G83 X1 Z-3 R1 Q0.5\n"
                            "N95 G80 G20 X ATAN[1]/[2] \n"
                            "G53 G0 X10 Z10 M9\n"
                            "G10 L2 P3 X[1/3] Z-1\n"
                            "G28 X1\n"
                            "G59.3 G95 G96 U1 W-2 S100\n"
                            "M1\n"
                            "M30\n"
                            "%\n";

/* Whatever was read: faults and status agree, every number is finite, moves join up. */
static void check_sense(const struct program *p, uint64_t seed)
{
    const size_t n_errors = sw_diag_n_errors(p->ctx.diag);
    bool is_good = p->status == (n_errors ? SW_FOUND : SW_OK) || p->status == SW_UNREADABLE;
    struct sw_motion_pt at = p->start.at;
    for (size_t i = 0; i < p->motion.n; i++) {
        const struct sw_motion_event *e = &p->motion.at[i];
        is_good &= e->from.x == at.x && e->from.z == at.z;
        is_good &= isfinite(e->to.x) && isfinite(e->to.z) && isfinite(e->centre.x) &&
                   isfinite(e->centre.z) && isfinite(e->radius_from) && isfinite(e->radius_to);
        is_good &= isfinite(e->state.feed) && e->state.feed >= 0 && e->state.speed >= 0;
        is_good &= e->state.tool >= 0 && e->state.tool <= PROGRAM_TOOLS;
        is_good &= e->state.system >= 1 && e->state.system <= SW_NCREAD_SYSTEMS;
        at = e->to;
    }
    for (size_t i = 0; i < sw_diag_n(p->ctx.diag); i++) {
        const struct sw_diag_record *record = sw_diag_at(p->ctx.diag, i);
        is_good &=
            strncmp(record->code, "block.", 6) == 0 || strncmp(record->code, "control.", 8) == 0;
        is_good &= record->at.line >= 1 && record->at.column >= 1 && record->message[0] != '\0';
    }
    if (!is_good)
        print_error("seed %llu\n%s", (unsigned long long)seed,
                    sw_test_diagnostics((struct sw_ctx *)&p->ctx));
    assert_true(is_good);
}

static void set_random_facts(struct sw_control *control, uint64_t *seed)
{
    struct sw_choice *const choice[] = {
        &control->x,
        &control->i,
        &control->units,
        &control->feed_words,
        &control->dwell,
        &control->feed_per_turn,
        &control->speed_clamp,
        &control->arcs,
        &control->surface_speed,
        &control->comments,
        &control->parameters,
        &control->incremental_u_w,
        &control->threading,
        &control->tool_offsets,
    };
    for (size_t i = 0; i < sizeof choice / sizeof *choice; i++)
        if (below(seed, 4) == 0)
            *choice[i] = program_fact((int)below(seed, 2));
}

static void read_random(const char *text, size_t size, uint64_t seed)
{
    struct program p = program_new();
    uint64_t facts = seed;
    set_random_facts(&p.control, &facts);
    p.start.is_block_delete_on = below(&facts, 2);
    program_read_bytes(&p, text, size);
    check_sense(&p, seed);
    (void)sw_test_diagnostics(&p.ctx);
    program_free(&p);
}

enum { ROUNDS = 4000, SEED = 20001 };

static void random_bytes_never_break_the_reader(void **state)
{
    (void)state;
    for (uint64_t seed = SEED; seed < SEED + ROUNDS; seed++) {
        uint64_t draw = seed;
        char text[400];
        const size_t size = below(&draw, sizeof text);
        for (size_t i = 0; i < size; i++)
            text[i] = (char)(1 + below(&draw, 255));
        read_random(text, size, seed);
    }
}

static void random_pieces_of_the_language_never_break_the_reader(void **state)
{
    (void)state;
    static const char *const piece[] = {
        "G",
        "M",
        "X",
        "Z",
        "I",
        "K",
        "R",
        "F",
        "S",
        "T",
        "P",
        "L",
        "Q",
        "H",
        "D",
        "U",
        "W",
        "N",
        "/",
        "%",
        "#",
        "[",
        "]",
        "=",
        "(",
        ")",
        "+",
        "-",
        "*",
        "**",
        ".",
        "0",
        "1",
        "2",
        "9",
        "81",
        "92",
        "53",
        "18",
        "\n",
        "\n",
        "\r\n",
        "SIN[",
        "ATAN",
        "SQRT[",
        "MOD",
        "AND",
        "LN",
        "5221",
        "G1 X",
        "G3 X1Z",
        " ",
        "\t",
        "EXP[",
        "1e5",
        "MSG,",
        "M2",
        "G20",
        "G91",
        "#1=",
        "G83 X1 Z-1 R1 Q.1 ",
    };
    for (uint64_t seed = SEED; seed < SEED + ROUNDS; seed++) {
        uint64_t draw = seed;
        char text[1200];
        size_t size = 0;
        for (size_t n = below(&draw, 120); n > 0; n--) {
            const char *next_piece = piece[below(&draw, sizeof piece / sizeof *piece)];
            memcpy(text + size, next_piece, strlen(next_piece));
            size += strlen(next_piece);
        }
        read_random(text, size, seed);
    }
}

static void mutated_programs_never_break_the_reader(void **state)
{
    (void)state;
    for (uint64_t seed = SEED; seed < SEED + ROUNDS; seed++) {
        uint64_t draw = seed;
        char text[2 * sizeof valid];
        size_t size = sizeof valid - 1;
        memcpy(text, valid, size);
        for (size_t n = 1 + below(&draw, 8); n > 0; n--) {
            const size_t at = below(&draw, size);
            switch (below(&draw, 4)) {
            case 0: /* another byte */
                text[at] = (char)(1 + below(&draw, 126));
                break;
            case 1: /* gone */
                memmove(text + at, text + at + 1, size - at - 1);
                size--;
                break;
            case 2: /* one more */
                memmove(text + at + 1, text + at, size - at);
                text[at] = valid[below(&draw, sizeof valid - 1)];
                size++;
                break;
            default: { /* two bytes change places */
                const size_t other = below(&draw, size);
                const char kept = text[at];
                text[at] = text[other];
                text[other] = kept;
            }
            }
        }
        read_random(text, size, seed);
    }
}

static void bytes_of_zero_are_no_text(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read_bytes(&p, "G0 X1\0\nM2\n", 10);
    assert_int_equal(p.status, SW_UNREADABLE);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.binary");
    program_free(&p);
}

static void too_many_lines_are_refused(void **state)
{
    (void)state;
    const size_t size = SW_NCREAD_MOST_LINES + 1;
    char *text = malloc(size);
    assert_non_null(text);
    memset(text, '\n', size);
    struct program p = program_new();
    program_read_bytes(&p, text, size);
    assert_int_equal(p.status, SW_UNREADABLE);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.lines-most");
    program_free(&p);
    free(text);
}

static void a_short_line_cannot_make_endless_moves(void **state)
{
    (void)state;
    static const char *const text[] = {"F1 G91 G81 X1 Z-1 R1 L999999999\nM2\n",
                                       "F1 G83 X1 Z-1 R1 Q0.0000000001\nM2\n",
                                       "F1 G83 X1 Z-1 R1 Q0.000000000000000000000001\nM2\n"};
    for (size_t i = 0; i < sizeof text / sizeof *text; i++) {
        struct program p = program_new();
        program_read(&p, text[i]);
        assert_int_equal(p.status, SW_UNREADABLE);
        assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.events-most");
        program_free(&p);
    }
}

struct failing {
    size_t left;  /* allocations until one fails */
    size_t alive; /* bytes */
};

static void *fail_later(void *user, void *block, size_t old_size, size_t new_size)
{
    struct failing *failing = user;
    if (new_size == 0) {
        failing->alive -= old_size;
        free(block);
        return NULL;
    }
    if (failing->left == 0)
        return NULL;
    failing->left--;
    void *more = realloc(block, new_size);
    if (more)
        failing->alive += new_size - old_size;
    return more;
}

static void each_failing_allocation_is_survived(void **state)
{
    (void)state;
    bool is_done = false;
    for (size_t n = 0; !is_done; n++) {
        struct failing failing = {.left = n};
        const struct sw_mem_hook hook = {fail_later, &failing};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        if (ctx.arena && ctx.diag) {
            const struct sw_control control = program_standard();
            const struct sw_ncread_start start = {.n_tools = PROGRAM_TOOLS};
            struct sw_motion motion;
            const enum sw_status status =
                sw_ncread_text(&motion, "test.nc", valid, sizeof valid - 1, &control, &start, &ctx);
            is_done = status == SW_FOUND;
            assert_true(is_done || status == SW_MEMORY);
        }
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(failing.alive, 0);
        assert_true(n < 10000);
    }
}

int main(void)
{
    print_message("seeds %d to %d\n", (int)SEED, (int)SEED + (int)ROUNDS - 1);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_bytes_never_break_the_reader),
        cmocka_unit_test(random_pieces_of_the_language_never_break_the_reader),
        cmocka_unit_test(mutated_programs_never_break_the_reader),
        cmocka_unit_test(bytes_of_zero_are_no_text),
        cmocka_unit_test(too_many_lines_are_refused),
        cmocka_unit_test(a_short_line_cannot_make_endless_moves),
        cmocka_unit_test(each_failing_allocation_is_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
