#include "post/inside.h"

#include <string.h>

#include "base/file.h"
#include "spec/table.h"

/* So many files may build on each other; more is a mistake. */
enum { MOST_EXTENDS = 8 };
/* NISTIR 6556 (3.5.3.1): arcs by R are sound up to 165 degrees of sweep. The last digits forgive
 * the way from degrees to radians. */
#define MOST_SWEEP_BY_RADIUS (165.0000001 * 3.14159265358979323846 / 180)

/* The files between the one asked for and the one being read. */
struct chain {
    const char *path;
    const struct chain *up;
    int depth;
};

/* These say something about their own file, not about the dialect. */
static bool is_own_key(const char *key)
{
    return strcmp(key, "format") == 0 || strcmp(key, "says") == 0 || strcmp(key, "extends") == 0;
}

static void append(struct sw_node *map, struct sw_node **last, struct sw_node *child)
{
    child->next = NULL;
    if (*last)
        (*last)->next = child;
    else
        map->first = child;
    *last = child;
    map->n++;
}

/* Give a map of BASE's keys with those of OWN laid over them; maps inside are merged the same way
 * (a tree is at most SW_SPEC_MOST_DEPTH deep). NULL when out of memory. */
static struct sw_node *merge(const struct sw_node *own, const struct sw_node *base, bool is_root,
                             struct sw_ctx *ctx)
{
    struct sw_node *map = SW_NEW(ctx->arena, struct sw_node, 1), *last = NULL;
    if (!map)
        return NULL;
    *map = *own;
    map->first = NULL;
    map->n = 0;
    for (const struct sw_node *child = base->first; child; child = child->next) {
        if (is_root && is_own_key(child->key))
            continue;
        const struct sw_node *over = sw_node_get(own, child->key);
        struct sw_node *copy;
        if (over && over->kind == SW_NODE_MAP && child->kind == SW_NODE_MAP)
            copy = merge(over, child, false, ctx);
        else if ((copy = SW_NEW(ctx->arena, struct sw_node, 1)))
            *copy = over ? *over : *child;
        if (!copy)
            return NULL;
        append(map, &last, copy);
    }
    for (const struct sw_node *child = own->first; child; child = child->next) {
        if (!(is_root && is_own_key(child->key)) && sw_node_get(base, child->key))
            continue;
        struct sw_node *copy = SW_NEW(ctx->arena, struct sw_node, 1);
        if (!copy)
            return NULL;
        *copy = *child;
        append(map, &last, copy);
    }
    return map;
}

/* Profile roots, and the folders they stand in. */
static enum sw_status widen(struct sw_search *wide, const struct sw_search *search,
                            struct sw_ctx *ctx)
{
    size_t n = 0;
    while (search && search->roots && search->roots[n])
        n++;
    const char **roots = SW_NEW(ctx->arena, const char *, 2 * n + 1);
    if (!roots)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        roots[2 * i] = search->roots[i];
        roots[2 * i + 1] = sw_path_folder(ctx->arena, search->roots[i]);
        if (!roots[2 * i + 1])
            return SW_MEMORY;
    }
    wide->roots = roots;
    return SW_OK;
}

static enum sw_status report_circle(const struct chain *chain, const char *path, struct sw_span at,
                                    struct sw_ctx *ctx)
{
    struct sw_buf names = {0};
    const struct chain *order[MOST_EXTENDS + 1];
    size_t n = 0;
    for (const struct chain *c = chain; c && n < MOST_EXTENDS + 1; c = c->up)
        order[n++] = c;
    while (n > 0)
        sw_buf_printf(&names, "%s -> ", order[--n]->path);
    sw_buf_add(&names, path);
    const bool failed = names.failed;
    sw_diag_add(ctx->diag, SW_ERROR, "post.extends", at, NULL,
                "`extends` comes back to a file that is being read: %s", sw_buf_text(&names));
    sw_buf_done(&names);
    return failed ? SW_MEMORY : SW_INPUT;
}

/* Reads PATH and what it extends into one map. */
static enum sw_status load_map(struct sw_node **out, const char *path, const struct chain *up,
                               const struct sw_search *wide, struct sw_span at, struct sw_ctx *ctx)
{
    for (const struct chain *c = up; c; c = c->up)
        if (strcmp(c->path, path) == 0)
            return report_circle(up, path, at, ctx);
    const struct chain chain = {path, up, up ? up->depth + 1 : 0};
    if (chain.depth > MOST_EXTENDS) {
        sw_diag_add(ctx->diag, SW_ERROR, "post.extends", at, NULL,
                    "more than %d dialects extend each other", MOST_EXTENDS);
        return SW_INPUT;
    }
    struct sw_node *own = NULL, *base = NULL;
    SW_TRY(sw_node_load(&own, path, ctx));
    SW_TRY(sw_node_check_format(own, sw_post_table.name, ctx));
    const struct sw_node *extends = sw_node_get(own, "extends");
    *out = own;
    /* Anything but a name is reported when the keys are read. */
    if (!extends || extends->kind != SW_NODE_SCALAR)
        return SW_OK;
    const char *base_path;
    SW_TRY(sw_shop_find(&base_path, extends->text, "postprocessors", path, wide, extends->at, ctx));
    SW_TRY(load_map(&base, base_path, &chain, wide, extends->at, ctx));
    *out = merge(own, base, true, ctx);
    return *out ? SW_OK : SW_MEMORY;
}

static void fault(struct sw_ctx *ctx, bool *is_good, const char *code, struct sw_span at,
                  const char *hint, const char *message)
{
    sw_diag_add(ctx->diag, SW_ERROR, code, at, hint, "%s", message);
    *is_good = false;
}

static void check_words(const struct sw_list *list, const char *const *known, const char *key,
                        bool *is_good, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < list->n; i++) {
        const struct sw_text *word = sw_post_item(list, i);
        size_t which = 0;
        while (known[which] && strcmp(known[which], word->value) != 0)
            which++;
        if (!known[which]) {
            sw_diag_add(ctx->diag, SW_ERROR, "post.word", word->at,
                        sw_nearest_word(word->value, known), "`%s` is no word for `%s`",
                        word->value, key);
            *is_good = false;
        }
        for (size_t j = 0; j < i; j++)
            if (strcmp(sw_post_item(list, j)->value, word->value) == 0)
                fault(ctx, is_good, "post.repeated", word->at, NULL, "this word stands twice");
    }
}

static bool is_suffix(const char *text)
{
    if (text[0] != '.' || !text[1] || strlen(text) > 8)
        return false;
    for (text++; *text; text++)
        if (!strchr("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", *text))
            return false;
    return true;
}

static void check_word_texts(const struct sw_post *post, bool *is_good, struct sw_ctx *ctx)
{
    const struct sw_post_words *w = &post->words;
    const struct sw_text *const texts[] = {&w->rapid, &w->line, &w->arc_cw,  &w->arc_ccw,
                                           &w->x,     &w->z,    &w->i,       &w->k,
                                           &w->r,     &w->feed, &post->units};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const char *text = texts[i]->value;
        const size_t size = strlen(text);
        if (size == 0 || size > 8 || strspn(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.=") != size)
            fault(ctx, is_good, "post.word", texts[i]->at, NULL,
                  "a word is 1 to 8 capital letters, digits and points");
    }
}

/* What one key cannot say of itself. */
static bool check_sense(const struct sw_post *post, struct sw_ctx *ctx)
{
    bool is_good = sw_post_check_templates(post, ctx);
    const struct sw_post_lines *lines = &post->lines;
    if (!is_suffix(post->suffix.value))
        fault(ctx, &is_good, "post.suffix", post->suffix.at, "suffix: .nc",
              "a suffix is a point and up to 7 letters or digits");
    check_word_texts(post, &is_good, ctx);
    check_words(&post->systems, sw_post_systems, "systems", &is_good, ctx);
    check_words(&post->needs, sw_post_needs, "needs", &is_good, ctx);
    const char *open = post->comments.open.value;
    if ((strcmp(open, "(") != 0 || strcmp(post->comments.close.value, ")") != 0) &&
        ((open[0] && strcmp(open, ";") != 0) || post->comments.close.value[0]))
        fault(ctx, &is_good, "post.comments", post->comments.open.at, NULL,
              "comments are \"(\" and \")\", \";\" and \"\", or \"\" and \"\" for none");
    if (strlen(post->comments.message.value) > 12)
        fault(ctx, &is_good, "post.comments", post->comments.message.at, NULL,
              "the mark of a message is longer than 12 characters");
    if (post->surface_speed.value) {
        if (post->feed.value != SW_POST_FEED_PER_TURN)
            fault(ctx, &is_good, "post.feed", post->feed.at, "feed: per-turn",
                  "a feed per minute cannot follow a surface speed");
        if (lines->surface_cw.n == 0 || lines->surface_ccw.n == 0)
            fault(ctx, &is_good, "post.lines", post->surface_speed.at, NULL,
                  "a surface speed needs the lines surface_cw and surface_ccw");
    }
    if ((lines->second_takes.n > 0) != (lines->second_leaves.n > 0))
        fault(ctx, &is_good, "post.lines",
              lines->second_takes.n > 0 ? lines->second_takes.span : lines->second_leaves.span,
              NULL, "a second spindle needs the lines second_takes and second_leaves");
    if (lines->second_takes.n > 0 && !sw_post_states_need(post, "second-spindle"))
        fault(ctx, &is_good, "post.need", lines->second_takes.span, "add second-spindle to `needs`",
              "the dialect moves a second spindle and does not say that it needs one");
    if (post->arcs.value == SW_POST_ARCS_RADIUS && post->sweep.value > MOST_SWEEP_BY_RADIUS)
        fault(ctx, &is_good, "post.sweep", post->sweep.at, "sweep: 90",
              "arcs by radius are unsound beyond 165 degrees");
    if (post->tools.value != SW_POST_TOOLS_FILE_PER_TOOL && lines->tool_change.n == 0)
        fault(ctx, &is_good, "post.lines", post->tools.at, NULL,
              "several tools in a program need the lines tool_change");
    if (post->corrections.called.value && post->corrections.called.value[0] &&
        (post->corrections.head.n == 0 ||
         (strcmp(post->corrections.x.value, "{x}") == 0 && post->corrections.on.n == 0)))
        fault(ctx, &is_good, "post.corrections", post->corrections.called.at, NULL,
              "corrections need lines in the head, and an X number or lines that put them to use");
    return is_good;
}

static const char *stem_of(const char *path, struct sw_ctx *ctx)
{
    const char *slash = strrchr(path, '/');
    const char *start = slash ? slash + 1 : path;
    const char *point = strrchr(start, '.');
    return sw_arena_copy(ctx->arena, start, point ? (size_t)(point - start) : strlen(start));
}

enum sw_status sw_post_load(const struct sw_post **out, const char *name, const char *near_file,
                            const struct sw_search *search, struct sw_span at, struct sw_ctx *ctx)
{
    struct sw_search wide = {NULL};
    const char *path;
    struct sw_node *root = NULL;
    SW_TRY(widen(&wide, search, ctx));
    SW_TRY(
        sw_shop_find(&path, name, "postprocessors", near_file ? near_file : ".", &wide, at, ctx));
    SW_TRY(load_map(&root, path, NULL, &wide, at, ctx));
    struct sw_post *post = SW_NEW(ctx->arena, struct sw_post, 1);
    if (!post)
        return SW_MEMORY;
    SW_TRY(sw_table_read(post, &sw_post_table, root, ctx));
    post->file = path;
    post->name = stem_of(path, ctx);
    if (!post->name)
        return SW_MEMORY;
    const bool is_good = check_sense(post, ctx);
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    if (!is_good)
        return SW_INPUT;
    *out = post;
    return SW_OK;
}
