/* known: what a set of readings says about the parts, and where readings contradict each other.
 *
 * Readings of one thing are weighed against each other by their doubt; things that can be known by
 * two ways (the endstones directly, or over the jewels and both stand-offs) are compared and
 * joined. Nothing is thrown away: a contradiction is reported with both readings, the joined value
 * is given all the same, with as much doubt as the contradiction brings.
 * Units: mm, as in part/survey.h. Every value carries its slopes to all sources of doubt.
 * Ownership: lives in the context. Statuses: SW_MEMORY.
 * Sources: JCGM 100:2008 (weights, combination); chi-square test of agreement as in any text on
 * least squares; normalised difference |a - b| / u(a - b).
 */
#ifndef SW_FIT_KNOWN_H
#define SW_FIT_KNOWN_H

#include "base/ctx.h"
#include "part/survey.h"
#include "stat/gum.h"

/** Where a value comes from, best first. */
enum sw_origin {
    SW_ORIGIN_NONE,
    SW_ORIGIN_MEASURED, /* read, or worked out from readings */
    SW_ORIGIN_OLD,      /* from the broken staff, which may itself have been wrong */
    SW_ORIGIN_PROPOSED, /* common practice stands in */
    SW_ORIGIN_CHOSEN    /* free to choose: no part asks for it */
};

/** "measured", "from the old staff", "common practice", "chosen". */
const char *sw_origin_says(enum sw_origin origin);

struct sw_known {
    enum sw_origin origin;
    struct sw_gum is;
};

/** One source of doubt. */
struct sw_doubt {
    const char *says;                 /* "over_jewels, line 12 (micrometer)" */
    const struct sw_reading *reading; /* NULL: proposed, or a size of the staff itself */
    enum sw_reading_kind kind;        /* what measuring would settle; SW_N_READINGS: nothing */
    double value;
    double half;      /* limits; twice the standard uncertainty when it has none */
    bool is_proposed; /* common practice stands in for a reading */
};

/** Two statements about one thing that do not agree. */
struct sw_clash {
    const char *what; /* "the distance between the endstones" */
    const char *a, *b;
    double value_a, value_b; /* mm */
    double u_a, u_b;         /* standard uncertainties */
    double normalised;       /* difference over its standard uncertainty */
    double chi_square, dof;  /* over all statements about it */
    double chance;           /* that honest readings differ so much (0..1) */
    bool is_sure;            /* less than one in a hundred; otherwise one in twenty */
    const char *suspect;     /* the one without which the others agree, or NULL */
    bool is_old;             /* one of them is the old staff: it may itself have been wrong */
    struct sw_span at;       /* of the later reading */
};

struct sw_knowledge {
    const struct sw_parts_read *parts;
    struct sw_known of[SW_N_READINGS];
    struct sw_known endstones; /* by whatever way, without proposals */
    struct sw_known spring_level;
    bool is_olive[2]; /* upper, lower */
    struct sw_gum_source source[SW_GUM_MOST];
    struct sw_doubt doubt[SW_GUM_MOST];
    size_t n; /* sources */
    SW_VEC(struct sw_clash) clash;
    bool failed; /* out of memory */
};

enum sw_status sw_know(struct sw_knowledge **out, const struct sw_parts_read *parts,
                       struct sw_ctx *ctx) SW_MUST_CHECK;

/** Add a source of doubt and give its value as a form. */
struct sw_gum sw_know_source(struct sw_knowledge *know, double value, struct sw_gum_source source,
                             const struct sw_doubt *doubt);

/** Compare two ways to know one thing, report a clash, give both joined by their weights (an
 *  unknown one plays no part). KIND: what measuring would settle it; AT: where to point. */
struct sw_known sw_know_join(struct sw_knowledge *know, const char *what, enum sw_reading_kind kind,
                             const char *way_a, const struct sw_known *a, const char *way_b,
                             const struct sw_known *b, struct sw_span at, struct sw_ctx *ctx);

/** Do readings of the parts surely contradict each other? The old staff is no witness. */
bool sw_know_is_contradictory(const struct sw_knowledge *know);

/** Standard uncertainty of a form. */
double sw_know_u(const struct sw_knowledge *know, const struct sw_gum *form);

/** Half-width that holds 95 % [same unit]. */
double sw_know_expanded(const struct sw_knowledge *know, const struct sw_gum *form);

#endif
