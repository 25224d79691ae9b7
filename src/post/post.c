#include "post/inside.h"

#include <stdio.h>
#include <math.h>
#include <string.h>

const char *sw_post_name(const struct sw_post *post)
{
    return post->name;
}

const char *sw_post_file(const struct sw_post *post)
{
    return post->file;
}

const char *sw_post_says(const struct sw_post *post)
{
    return post->says.value;
}

const char *sw_post_suffix(const struct sw_post *post)
{
    return post->suffix.value;
}

bool sw_post_has_surface_speed(const struct sw_post *post)
{
    return post->surface_speed.value == 1;
}

bool sw_post_has_corrections(const struct sw_post *post)
{
    return post->corrections.called.value && post->corrections.called.value[0];
}

double sw_post_step(const struct sw_post *post)
{
    const double x =
        pow(10, -post->decimals.x.value) / (post->x.value == SW_POST_X_DIAMETER ? 2 : 1);
    return fmax(x, pow(10, -post->decimals.z.value));
}

struct sw_post_abilities sw_post_abilities(const struct sw_post *post)
{
    const bool is_in_chords = post->arcs.value == SW_POST_ARCS_NONE;
    return (struct sw_post_abilities){
        .has_arcs = !is_in_chords || post->chord_error.value > 0,
        .chord_error = is_in_chords ? post->chord_error.value : 0,
        .has_pauses = post->lines.pause.n > 0,
        .has_second = post->lines.second_takes.n > 0,
        .is_feed_per_turn = post->feed.value == SW_POST_FEED_PER_TURN,
        .feed_step = pow(10, -post->decimals.feed.value),
        .speed_step = pow(10, -post->decimals.speed.value),
        .seconds_step = pow(10, -post->decimals.seconds.value),
    };
}

bool sw_post_is_spindle_by_hand(const struct sw_post *post)
{
    return post->spindle.value == SW_POST_SPINDLE_BY_HAND;
}

bool sw_post_is_file_per_tool(const struct sw_post *post)
{
    return post->tools.value == SW_POST_TOOLS_FILE_PER_TOOL;
}

enum sw_status sw_post_system_of(int *system, const struct sw_post *post, int station,
                                 struct sw_ctx *ctx)
{
    *system = 0;
    if (post->tools.value != SW_POST_TOOLS_SYSTEM_PER_TOOL)
        return SW_OK;
    if (station < 1 || (size_t)station > post->systems.n) {
        sw_diag_add(ctx->diag, SW_ERROR, "post.system", post->systems.span,
                    "fit the tool in a lower station, or use a dialect with more systems",
                    "the dialect %s has %zu coordinate systems, none for station %d", post->name,
                    post->systems.n, station);
        return SW_CANNOT;
    }
    const char *word = sw_post_item(&post->systems, (size_t)station - 1)->value;
    while (strcmp(sw_post_systems[*system], word) != 0)
        ++*system;
    ++*system;
    return SW_OK;
}

const char *sw_post_correction_name(const struct sw_post *post, int i, struct sw_ctx *ctx)
{
    if (!sw_post_has_corrections(post))
        return NULL;
    const struct sw_post_values values = {
        .x = "", .correction_index = i, .correction = (int)post->corrections.from.value + i - 1};
    struct sw_buf name = {0};
    sw_post_fill(&name, post->corrections.called.value, post, &values);
    const char *copy = name.failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(&name), name.n);
    sw_buf_done(&name);
    return copy;
}

struct asker {
    const struct sw_post *post;
    const char *machine;
    struct sw_ctx *ctx;
    bool is_good;
};

static void refuse(struct asker *a, struct sw_span at, const char *what)
{
    sw_diag_add(a->ctx->diag, SW_ERROR, "post.control", at, NULL, "the dialect %s %s (machine %s)",
                a->post->name, what, a->machine);
    a->is_good = false;
}

static void check_readings(struct asker *a, const struct sw_control *c)
{
    const struct sw_post *post = a->post;
    if (post->x.value == SW_POST_X_RADIUS && c->x.value == SW_X_DIAMETER)
        refuse(a, post->x.at, "writes X as radius, and this control reads it as diameter");
    if (post->x.value == SW_POST_X_DIAMETER && c->x.value == SW_X_RADIUS)
        refuse(a, post->x.at, "writes X as diameter, and this control reads it as radius");
    if (post->arcs.value == SW_POST_ARCS_CENTRE && post->i.value == SW_POST_X_RADIUS &&
        c->i.value == SW_X_DIAMETER)
        refuse(a, post->i.at, "writes I on radius, and this control reads it on diameter");
    if (post->arcs.value == SW_POST_ARCS_CENTRE && post->i.value == SW_POST_X_DIAMETER &&
        c->i.value == SW_X_RADIUS)
        refuse(a, post->i.at, "writes I on diameter, and this control reads it on radius");
    if (post->arcs.value != SW_POST_ARCS_NONE && c->arcs.value != 1)
        refuse(a, post->arcs.at, "writes arcs, and this control knows none");
    if (post->feed.value == SW_POST_FEED_PER_TURN && c->feed_per_turn.value != 1)
        refuse(a, post->feed.at, "writes feeds per turn, and this control knows none");
    if (post->surface_speed.value == 1 && c->surface_speed.value != 1)
        refuse(a, post->surface_speed.at, "writes surface speeds, and this control knows none");
    if (post->comments.open.value[0] && c->comments.value != 1)
        refuse(a, post->comments.open.at, "writes comments, and this control knows none");
}

static void check_sizes(struct asker *a, const struct sw_control *c)
{
    const struct sw_post *post = a->post;
    const struct sw_number *const decimals[] = {&post->decimals.x, &post->decimals.z,
                                                &post->decimals.centre};
    const size_t n = post->arcs.value == SW_POST_ARCS_NONE ? 2 : 3;
    char text[120];
    for (size_t i = 0; i < n; i++) {
        if (c->decimals.value <= 0 || decimals[i]->value <= c->decimals.value)
            continue;
        snprintf(text, sizeof text, "writes %d decimals, and this control reads %d at most",
                 (int)decimals[i]->value, (int)c->decimals.value);
        refuse(a, decimals[i]->at, text);
    }
    if (c->line_length.value > 0 && post->line_length.value > c->line_length.value) {
        snprintf(text, sizeof text,
                 "writes lines of %d characters, and this control reads %d at most",
                 (int)post->line_length.value, (int)c->line_length.value);
        refuse(a, post->line_length.at, text);
    }
}

static void check_tools(struct asker *a, const struct sw_control *c)
{
    const bool is_by_hand = sw_post_is_spindle_by_hand(a->post);
    if (is_by_hand && c->spindle_words.value == 1)
        refuse(a, a->post->spindle.at,
               "leaves the spindle to the operator, and this control switches it by words");
    if (!is_by_hand && c->spindle_words.value == 0 &&
        !sw_post_states_need(a->post, "spindle-words"))
        refuse(a, a->post->spindle.at,
               "switches the spindle by words, and this control has none; write `spindle: by-hand` "
               "and stop where it is switched, as motion-only does");
    const int tools = a->post->tools.value, offsets = c->tool_offsets.value;
    if (tools == SW_POST_TOOLS_SYSTEM_PER_TOOL && offsets != SW_OFFSET_BY_SYSTEM)
        refuse(a, a->post->tools.at,
               offsets == SW_OFFSET_WITH_TOOL
                   ? "gives each tool a coordinate system, and this control brings an offset "
                     "with each tool besides"
                   : "gives each tool a coordinate system, and this control takes one tool a "
                     "program");
    if (tools == SW_POST_TOOLS_WITH_TOOL && offsets != SW_OFFSET_WITH_TOOL)
        refuse(a, a->post->tools.at,
               "leaves tool offsets to the tool change, and this control brings none");
    if (tools == SW_POST_TOOLS_WITH_TOOL && c->tool_call.value == SW_CALL_WITH_OFFSET &&
        !sw_post_states_need(a->post, "tool-with-offset"))
        refuse(a, a->post->tools.at,
               "changes tools by T and M6, and this control by one T word with the offset in it; "
               "write T{tool_call}, and tool-with-offset under needs");
    if (tools == SW_POST_TOOLS_WITH_TOOL && c->tool_call.value == SW_CALL_THEN_D &&
        !sw_post_states_need(a->post, "offset-by-d"))
        refuse(a, a->post->tools.at,
               "leaves the offset to the tool change, and this control has none in force until a D "
               "word; write T{tool} D{tool} M6, and offset-by-d under needs");
    if (tools == SW_POST_TOOLS_FILE_PER_TOOL && offsets != SW_OFFSET_NONE)
        refuse(a, a->post->tools.at,
               offsets == SW_OFFSET_WITH_TOOL
                   ? "changes no tool, and this control would keep the offset of the last one"
                   : "zeroes the one tool of a program afresh, and this control keeps a coordinate "
                     "system for each");
}

static void check_needs(struct asker *a, const struct sw_control *c)
{
    /* In the order of sw_post_needs. */
    const bool is_known[] = {
        c->spindle_words.value == 1,
        c->tool_words.value == 1,
        c->parameters.value == 1,
        c->units.value == SW_UNITS_G20_G21,
        c->units.value == SW_UNITS_G70_G71,
        c->feed_words.value == SW_FEED_G94_G95,
        c->feed_words.value == SW_FEED_G98_G99,
        c->speed_clamp.value == SW_CLAMP_G50,
        c->speed_clamp.value == SW_CLAMP_G92,
        c->dwell.value == SW_DWELL_P_SECONDS,
        c->dwell.value == SW_DWELL_P_MILLISECONDS,
        c->dwell.value == SW_DWELL_X_SECONDS,
        c->dwell.value == SW_DWELL_U_SECONDS,
        c->dwell.value == SW_DWELL_F_SECONDS,
        c->tool_call.value == SW_CALL_WITH_OFFSET,
        c->tool_call.value == SW_CALL_THEN_D,
        c->second_takes.given,
    };
    for (size_t i = 0; i < a->post->needs.n; i++) {
        const struct sw_text *need = sw_post_item(&a->post->needs, i);
        size_t which = 0;
        while (strcmp(sw_post_needs[which], need->value) != 0)
            which++;
        if (is_known[which])
            continue;
        char text[160];
        const bool is_tool = strcmp(need->value, "tool-words") == 0;
        snprintf(text, sizeof text, "needs %s, and this control does not have it%s", need->value,
                 is_tool ? "; use one with a file a tool, such as motion-only"
                 : strcmp(need->value, "spindle-words") == 0
                     ? "; use one that stops where it is switched by hand, such as motion-only"
                     : "");
        refuse(a, need->at, text);
    }
}

enum sw_status sw_post_check(const struct sw_post *post, const struct sw_machine *machine,
                             struct sw_ctx *ctx)
{
    struct asker a = {post, machine->name.value ? machine->name.value : "without a name", ctx,
                      true};
    check_readings(&a, &machine->control);
    check_sizes(&a, &machine->control);
    check_tools(&a, &machine->control);
    check_needs(&a, &machine->control);
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    return a.is_good ? SW_OK : SW_INPUT;
}
