/* The blank as a staff file: hardened sizes divided by the growth that is expected. */
#include <math.h>

#include "part/blank.h"
#include "spec/emit.h"

/* A nanometre: chains of lengths close by it. */
enum { DECIMALS = 6 };
static const double places = 1e4;
/* Of what is left, so much may be too much or too little. */
static const double allowance_share = 0.25;
static const double face_share = 0.4; /* of what stays on a face */
/* An end that is faced off later only loses its sharp edge [mm]; common practice, no source. */
static const double tip_corner = 0.01;
static const double degrees = 180 / 3.14159265358979323846;

struct writer {
    struct sw_emit emit;
    const struct sw_staff *staff;
    const struct sw_blank_form *form;
    const struct sw_blank_how *how;
    double grown; /* 1 and the middle of the growth */
};

static double soft(const struct writer *w, double size)
{
    return size / w->grown;
}

static void number(struct writer *w, const char *key, double size)
{
    sw_emit_number(&w->emit, key, soft(w, size), DECIMALS);
}

static void pair(struct writer *w, const char *key, double lower, double upper)
{
    sw_emit_pair(&w->emit, key, lower, upper, DECIMALS);
}

/* A band less what growth may take of it. */
static void narrowed(struct writer *w, const char *key, struct sw_band band, double unsure)
{
    pair(w, key, soft(w, band.lower + unsure), soft(w, band.upper - unsure));
}

static void begin(struct writer *w, const char *kind, const char *name)
{
    sw_emit_item(&w->emit);
    sw_emit_open(&w->emit, kind);
    sw_emit_text(&w->emit, "name", name);
}

static void end(struct writer *w)
{
    sw_emit_close(&w->emit);
    sw_emit_close(&w->emit);
}

/* Soft place of a border from the upper tip on, on the grid of a text with four decimals: a
 * shoulder that the next chucking rests on is then cut where it is said to be. */
static double place(const struct writer *w, size_t border)
{
    return round(soft(w, w->form->z[border] - w->form->z[0]) * places) / places;
}

static void length(struct writer *w, const char *key, size_t first, size_t last)
{
    sw_emit_number(&w->emit, key, place(w, last + 1) - place(w, first), DECIMALS);
}

/* What stands for all that is left thick. */
static void thick(struct writer *w, const char *kind, const char *name, size_t first, size_t last)
{
    const double room = allowance_share * w->how->allowance;
    const double along = face_share * SW_BLANK_FACE_SHARE * w->how->allowance;
    begin(w, kind, name);
    number(w, "diameter", w->form->diameter[first]);
    pair(w, "tolerance", -room, room);
    length(w, "length", first, last);
    pair(w, "length_tolerance", -along, along);
    sw_emit_number(&w->emit, "corner", SW_BLANK_CORNER, DECIMALS);
    if (first == 0 || last + 1 == w->staff->n) {
        sw_emit_text(&w->emit, "tip", "flat");
        sw_emit_number(&w->emit, "tip_corner", tip_corner, DECIMALS);
    }
    sw_emit_text(&w->emit, "finish", "turned");
    end(w);
}

static void relief(struct writer *w, const struct sw_section *is)
{
    sw_emit_open(&w->emit, "relief");
    number(w, "width", is->relief_width);
    number(w, "depth", is->relief_depth);
    sw_emit_number(&w->emit, "flank", is->relief_flank * degrees, DECIMALS);
    number(w, "corner", is->corner);
    sw_emit_close(&w->emit);
}

static void corner_and_edge(struct writer *w, const struct sw_section *is)
{
    if (is->has_relief)
        relief(w, is);
    else
        number(w, "corner", sw_blank_corner(w->staff, is));
    if (is->edge_is_given || is->edge == 0)
        number(w, "edge", is->edge);
}

static void hand_work(struct writer *w, const struct sw_section *is)
{
    static const char *const finish[] = {"turned", "stoned", "burnished"};
    sw_emit_text(&w->emit, "finish", finish[is->finish]);
    if (is->take >= 0)
        number(w, "take", is->take);
}

/* Its thicker end towards the core is where a seat's diameter counts; the core's own is named. */
static void seat_sizes(struct writer *w, const struct sw_section *is)
{
    static const char *const takes[] = {"nothing", "collet", "balance", "roller", "safety-roller"};
    const bool is_core = is->index == w->staff->core;
    number(w, "diameter", 2 * (is_core ? is->r0 : sw_section_foot(is)));
    if (is_core)
        sw_emit_text(&w->emit, "at", "upper");
    else
        sw_emit_text(&w->emit, "at", "hub");
    sw_emit_number(&w->emit, "taper", is_core || is->is_lower_half ? -is->taper : is->taper,
                   DECIMALS);
    number(w, "bevel", is->bevel);
    sw_emit_text(&w->emit, "takes", takes[is->takes]);
}

static void kept(struct writer *w, size_t i)
{
    static const char *const kinds[] = {"pivot", "cone",     "back_slope", "seat",  "rivet",
                                        "hub",   "cylinder", "taper",      "groove"};
    const struct sw_section *is = &w->staff->section[i];
    const double half = (w->how->grown_most - w->how->grown_least) / 2;
    const double datum = sw_blank_datum(w->staff, w->form->datum_is_lower);
    const double far = fmax(fabs(is->z0 - datum), fabs(is->z1 - datum));
    begin(w, kinds[is->kind], is->name);
    switch (is->kind) {
    case SW_SECTION_SEAT:
        seat_sizes(w, is);
        break;
    case SW_SECTION_TAPER:
        number(w, "upper_diameter", 2 * is->r0);
        number(w, "lower_diameter", 2 * is->r1);
        break;
    case SW_SECTION_GROOVE:
        number(w, "depth", is->groove_depth);
        sw_emit_number(&w->emit, "flank", is->groove_flank * degrees, DECIMALS);
        break;
    case SW_SECTION_HUB: /* its underside is not cut: the land runs through */
    case SW_SECTION_CYLINDER:
        number(w, "diameter", 2 * fmax(is->r0, is->r1));
        break;
    case SW_SECTION_RIVET: /* nor is a recess */
    case SW_SECTION_PIVOT:
    case SW_SECTION_CONE:
    case SW_SECTION_BACK_SLOPE:
        break;
    }
    narrowed(w, "tolerance", is->diameter_tolerance, half * 2 * fmax(is->r0, is->r1));
    length(w, is->kind == SW_SECTION_RIVET ? "height" : "length", i, i);
    narrowed(w, "length_tolerance", is->length_tolerance, sw_blank_unsure(w->staff, w->how, far));
    corner_and_edge(w, is);
    if (is->kind != SW_SECTION_GROOVE)
        hand_work(w, is);
    end(w);
}

/* Sections that one cylinder stands for: as many as are left equally thick. */
static size_t last_of(const struct writer *w, size_t first)
{
    const struct sw_blank_form *form = w->form;
    const size_t end = w->staff->n - form->n_lower;
    if (first < form->n_upper)
        return form->n_upper - 1;
    if (first >= end)
        return w->staff->n - 1;
    size_t last = first;
    while (form->leaves[first] && last + 1 < end && form->leaves[last + 1] &&
           form->diameter[last + 1] == form->diameter[first] &&
           w->staff->section[last + 1].is_lower_half == w->staff->section[first].is_lower_half)
        last++;
    return last;
}

/* Called by what it may be held by, or what is nearest to the core. */
static const char *name_of(const struct writer *w, size_t first, size_t last)
{
    const struct sw_section *section = w->staff->section;
    const bool is_lower = section[first].is_lower_half;
    for (size_t k = 0; k <= last - first; k++) {
        const struct sw_section *is = &section[is_lower ? first + k : last - k];
        if (is->kind == SW_SECTION_SEAT || is->kind == SW_SECTION_CYLINDER)
            return is->name;
    }
    return section[is_lower ? first : last].name;
}

static void sections(struct writer *w)
{
    const size_t n = w->staff->n, n_lower = w->form->n_lower;
    sw_emit_open(&w->emit, "sections");
    for (size_t i = 0, last = 0; i < n; i = last + 1) {
        last = last_of(w, i);
        if (i == 0)
            thick(w, "pivot", SW_BLANK_UPPER_END, i, last);
        else if (i == n - n_lower)
            thick(w, "pivot", SW_BLANK_LOWER_END, i, last);
        else if (w->form->leaves[i])
            thick(w, "cylinder", name_of(w, i, last), i, last);
        else
            kept(w, i);
    }
    sw_emit_close(&w->emit);
}

enum sw_status sw_blank_write(struct sw_buf *out, const struct sw_staff *staff,
                              const struct sw_blank_form *form, const struct sw_blank_how *how,
                              struct sw_ctx *ctx)
{
    enum { NAME_MOST = 40 };
    struct writer w = {.emit = {.out = out},
                       .staff = staff,
                       .form = form,
                       .how = how,
                       .grown = 1 + (how->grown_least + how->grown_most) / 2};
    const char *name = sw_arena_printf(ctx->arena, "%.*s, blank", NAME_MOST - 7, staff->name);
    if (!name)
        return SW_MEMORY;
    sw_emit_comment(&w.emit,
                    "The staff as it is turned soft. Hardened and tempered it is larger, and "
                    "what was\nleft thick is then cut to size. Written by staffwright.");
    sw_emit_text(&w.emit, "format", "staff/1");
    sw_emit_text(&w.emit, "name", name);
    sw_emit_text(&w.emit, "material", how->material);
    sw_emit_truth(&w.emit, "blank", true);
    sw_emit_open(&w.emit, "total");
    sw_emit_number(&w.emit, "length", place(&w, staff->n), DECIMALS);
    sw_emit_number(&w.emit, "tolerance", allowance_share * how->allowance, DECIMALS);
    sw_emit_close(&w.emit);
    sections(&w);
    return out->failed ? SW_MEMORY : SW_OK;
}
