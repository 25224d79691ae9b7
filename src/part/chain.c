#include "part/raw.h"

#include <math.h>
#include <string.h>

/* A chain whose lengths are all given closes when it misses by no more than this: a nanometre,
 * far above rounding and far below any gauge. */
static const double closes_within = 1e-6;
/* The same least length that the field tables ask of a given one. */
static const double least_length = 0.005;

/* A border between sections: border k is where section k begins; 0 and n are the tips. */
struct anchor {
    const char *name;
    struct sw_span at;
    size_t border;
    double from_lower;
};

static bool strip(size_t *n, const char *name, const char *ending)
{
    const size_t size = strlen(ending);
    *n = strlen(name);
    if (*n <= size || strcmp(name + *n - size, ending) != 0)
        return false;
    *n -= size;
    return true;
}

static const struct sw_section *taker(const struct sw_staff *staff, enum sw_takes takes)
{
    for (size_t i = 0; i < staff->n; i++)
        if (staff->section[i].takes == takes)
            return &staff->section[i];
    return NULL;
}

/* Finds the border a height is named after; false when nothing is called so. */
static bool find_border(size_t *border, const struct sw_staff *staff, const char *name)
{
    if (strcmp(name, "hub face") == 0 && staff->hub < staff->n) {
        const size_t hub = staff->hub;
        const bool rests_below = hub + 1 < staff->n &&
                                 staff->section[hub + 1].takes == SW_TAKES_BALANCE &&
                                 (hub == 0 || staff->section[hub - 1].takes != SW_TAKES_BALANCE);
        *border = rests_below ? hub + 1 : hub;
        return true;
    }
    const struct sw_section *roller = taker(staff, SW_TAKES_ROLLER);
    if (strcmp(name, "roller shoulder") == 0 && roller) {
        *border = roller->index >= staff->core ? roller->index : roller->index + 1;
        return true;
    }
    size_t n;
    const bool is_top = strip(&n, name, " top");
    if (!is_top && !strip(&n, name, " bottom"))
        return false;
    for (size_t i = 0; i < staff->n; i++) {
        const char *section = staff->section[i].name;
        if (strlen(section) == n && strncmp(section, name, n) == 0) {
            *border = is_top ? i : i + 1;
            return true;
        }
    }
    return false;
}

static enum sw_status report_unknown(struct part_build *build, const struct raw_height *height)
{
    const struct sw_staff *staff = build->staff;
    struct sw_arena *arena = build->ctx->arena;
    const char **known = SW_NEW(arena, const char *, 2 * staff->n + 3);
    if (!known)
        return SW_MEMORY;
    size_t n = 0;
    if (staff->hub < staff->n)
        known[n++] = "hub face";
    if (taker(staff, SW_TAKES_ROLLER))
        known[n++] = "roller shoulder";
    const size_t n_words = n;
    for (size_t i = 0; i < staff->n; i++) {
        known[n++] = sw_arena_printf(arena, "%s top", staff->section[i].name);
        known[n++] = sw_arena_printf(arena, "%s bottom", staff->section[i].name);
        if (!known[n - 1] || !known[n - 2])
            return SW_MEMORY;
    }
    const char *near = sw_nearest_word(height->name.value, known);
    struct sw_buf hint = {0};
    if (near) {
        sw_buf_printf(&hint, "did you mean `%s`?", near);
    } else {
        sw_buf_add(&hint, "known: ");
        for (size_t i = 0; i < n_words; i++)
            sw_buf_printf(&hint, "%s, ", known[i]);
        sw_buf_add(&hint, "and `top` or `bottom` behind one of: ");
        for (size_t i = 0; i < staff->n; i++)
            sw_buf_printf(&hint, "%s%s", i ? ", " : "", staff->section[i].name);
    }
    const bool failed = hint.failed;
    if (!failed)
        PART_FAULT(build, "part.unknown-height", height->name.at, sw_buf_text(&hint),
                   "`%s` names no border between sections", height->name.value);
    sw_buf_done(&hint);
    return failed ? SW_MEMORY : SW_OK;
}

/* Reports what is wrong with one height; gives its place in ANCHOR. */
static enum sw_status read_height(struct anchor *anchor, struct part_build *build,
                                  const struct raw_height *height)
{
    const struct sw_staff *staff = build->staff;
    *anchor = (struct anchor){height->name.value, height->name.at, 0, height->at.value};
    if (!find_border(&anchor->border, staff, height->name.value))
        return report_unknown(build, height);
    if (anchor->border == 0 || anchor->border == staff->n)
        PART_FAULT(build, "part.height-at-tip", height->name.at,
                   "tips are placed by `total: {length}`", "`%s` is a tip of the staff itself",
                   height->name.value);
    else if (height->at.value >= staff->total)
        PART_FAULT(build, "part.height-beyond", height->at.at, "heights count from the lower tip",
                   "%s is at %s mm, but the staff is only %s mm long", height->name.value,
                   PART_MM(height->at.value), PART_MM(staff->total));
    return SW_OK;
}

static void check_heights(struct part_build *build, const struct anchor *anchor, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const struct anchor *above = &anchor[i - 1], *below = &anchor[i];
        if (above->border == below->border)
            PART_FAULT(build, "part.same-border", below->at, "keep one of them",
                       "%s and %s are the same place", above->name, below->name);
        else if (above->from_lower <= below->from_lower)
            PART_FAULT(build, "part.height-order", below->at, "heights count from the lower tip",
                       "%s at %s mm should lie below %s at %s mm", below->name,
                       PART_MM(below->from_lower), above->name, PART_MM(above->from_lower));
    }
}

/* Lists the tips and the heights from the upper tip down. */
static enum sw_status read_anchors(struct anchor **out, size_t *n_out, struct part_build *build)
{
    const struct sw_list *heights = &build->raw->heights;
    const struct raw_height *raw = heights->at;
    struct sw_staff *staff = build->staff;
    struct anchor *anchor = SW_NEW(build->ctx->arena, struct anchor, heights->n + 2);
    staff->height = SW_NEW(build->ctx->arena, struct sw_height, heights->n);
    if (!anchor || !staff->height)
        return SW_MEMORY;
    const struct sw_span total_at = build->raw->total.length.at;
    size_t n = 0;
    anchor[n++] = (struct anchor){"the upper tip", total_at, 0, staff->total};
    for (size_t i = 0; i < heights->n; i++) {
        struct anchor next;
        SW_TRY(read_height(&next, build, &raw[i]));
        size_t k = n++;
        for (; k > 1 && anchor[k - 1].border > next.border; k--) {
            anchor[k] = anchor[k - 1];
            staff->height[k - 1] = staff->height[k - 2];
        }
        anchor[k] = next;
        staff->height[k - 1] = (struct sw_height){.name = next.name,
                                                  .at = next.at,
                                                  .from_lower_tip = next.from_lower,
                                                  .tolerance = raw[i].tolerance,
                                                  .z = staff->total - next.from_lower,
                                                  .section = next.border};
    }
    staff->n_heights = heights->n;
    anchor[n++] = (struct anchor){"the lower tip", total_at, staff->n, 0};
    *out = anchor;
    *n_out = n;
    return SW_OK;
}

static double given_length(const struct part_build *build, size_t i)
{
    const struct raw_section *raw = build->from[i];
    return build->staff->section[i].kind == SW_SECTION_RIVET ? raw->height.value
                                                             : raw->length.value;
}

static void report_open_chain(struct part_build *build, const struct anchor *above,
                              const struct anchor *below, double sum, double needed)
{
    /* The place of the end that the file gives: the lower tip is only where lengths count from. */
    const struct sw_span at = below->border < build->staff->n ? below->at : above->at;
    PART_FAULT(build, "part.open-chain", at, "make one of these lengths `free`, or correct one",
               "the sections from %s to %s add up to %s mm, %s mm %s than the %s mm between them",
               above->name, below->name, PART_MM(sum), PART_MM(fabs(sum - needed)),
               sum > needed ? "more" : "less", PART_MM(needed));
}

/* Gives the free section of a chain its length and every section its place. */
static void close_chain(struct part_build *build, const struct anchor *above,
                        const struct anchor *below)
{
    struct sw_section *section = build->staff->section;
    const double needed = above->from_lower - below->from_lower;
    double sum = 0;
    size_t free_at = build->staff->n;
    for (size_t i = above->border; i < below->border; i++) {
        if (!section[i].is_free) {
            sum += given_length(build, i);
        } else if (free_at == build->staff->n) {
            free_at = i;
        } else {
            PART_FAULT(build, "part.two-free", build->from[i]->length.at,
                       "give one of their lengths, or a height between them",
                       "%s is free like %s, but one section closes the chain from %s to %s",
                       section[i].name, section[free_at].name, above->name, below->name);
            return;
        }
    }
    const double rest = needed - sum;
    if (free_at == build->staff->n && fabs(rest) > closes_within) {
        report_open_chain(build, above, below, sum, needed);
        return;
    }
    if (free_at < build->staff->n && rest < least_length) {
        PART_FAULT(build, "part.no-length", build->from[free_at]->length.at, NULL,
                   "nothing is left for %s: the other sections from %s to %s take %s of %s mm",
                   section[free_at].name, above->name, below->name, PART_MM(sum), PART_MM(needed));
        return;
    }
    double z = build->staff->total - above->from_lower;
    for (size_t i = above->border; i < below->border; i++) {
        section[i].z0 = z;
        z += i == free_at ? rest : given_length(build, i);
        section[i].z1 = z;
    }
    section[below->border - 1].z1 = build->staff->total - below->from_lower;
}

enum sw_status part_close_chains(struct part_build *build)
{
    struct anchor *anchor = NULL;
    size_t n = 0;
    const bool was_wrong = build->is_wrong;
    build->is_wrong = false;
    SW_TRY(read_anchors(&anchor, &n, build));
    if (!build->is_wrong)
        check_heights(build, anchor, n);
    if (!build->is_wrong)
        for (size_t i = 1; i < n; i++)
            close_chain(build, &anchor[i - 1], &anchor[i]);
    build->is_wrong = build->is_wrong || was_wrong;
    return SW_OK;
}
