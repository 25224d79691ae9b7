/* The staff file that a sizing becomes: sections in order, each size with its reason behind it. */
#include "fit/fit_int.h"
#include "spec/emit.h"

enum { DECIMALS = 4, READING_DECIMALS = 6 };
/* A bevel leads the collet on (Hall 1910, ch. VII); its width over the seat: common practice. */
static const double bevel_by_seat = 0.05;

static void comment(struct sw_emit *emit, const struct sw_size *size)
{
    struct sw_buf text = {0};
    if (size->origin != SW_ORIGIN_MEASURED)
        sw_buf_printf(&text, "[%s] ", sw_origin_says(size->origin));
    sw_buf_add(&text, size->why);
    if (size->expanded > 0)
        sw_buf_printf(&text, "; known to +-%s (95 %%)", FIT_MM(size->expanded));
    sw_emit_behind(emit, sw_buf_text(&text));
    emit->out->failed = emit->out->failed || text.failed;
    sw_buf_done(&text);
}

static const struct sw_size *at(const struct sw_sizing *sizing, enum sw_size_id id)
{
    return &sizing->size[id];
}

static void number(struct sw_emit *emit, const char *key, const struct sw_size *size)
{
    sw_emit_number(emit, key, size->value, DECIMALS);
    comment(emit, size);
}

static void tolerance(struct sw_emit *emit, const char *key, const struct sw_size *size)
{
    if (size->tolerance > 0)
        sw_emit_number(emit, key, size->tolerance, DECIMALS);
}

static void open_section(struct sw_emit *emit, const char *kind, const char *name)
{
    sw_emit_item(emit);
    sw_emit_open(emit, kind);
    if (name)
        sw_emit_text(emit, "name", name);
}

static void close_section(struct sw_emit *emit)
{
    sw_emit_close(emit);
    sw_emit_close(emit);
}

static void pivot(struct sw_emit *emit, const struct sw_sizing *sizing, int end)
{
    const struct sw_size *d = at(sizing, end ? SW_SIZE_LOWER_PIVOT : SW_SIZE_UPPER_PIVOT);
    const struct sw_size *l = at(sizing, end ? SW_SIZE_LOWER_STRAIGHT : SW_SIZE_UPPER_STRAIGHT);
    open_section(emit, "pivot", end ? "lower pivot" : "upper pivot");
    number(emit, "diameter", d);
    tolerance(emit, "tolerance", d);
    number(emit, "length", l);
    tolerance(emit, "length_tolerance", l);
    if (sizing->survey->has_flat_ends)
        sw_emit_text(emit, "tip", "flat");
    sw_emit_text(emit, "finish", "burnished");
    close_section(emit);
}

static void cone(struct sw_emit *emit, const struct sw_sizing *sizing, int end)
{
    open_section(emit, "cone", NULL);
    number(emit, "ridge", at(sizing, end ? SW_SIZE_LOWER_RIDGE : SW_SIZE_UPPER_RIDGE));
    number(emit, "length", at(sizing, end ? SW_SIZE_LOWER_CONE : SW_SIZE_UPPER_CONE));
    close_section(emit);
}

static void slope(struct sw_emit *emit, const struct sw_sizing *sizing, int end)
{
    open_section(emit, "back_slope", NULL);
    number(emit, "root", at(sizing, end ? SW_SIZE_LOWER_ROOT : SW_SIZE_UPPER_ROOT));
    number(emit, "length", at(sizing, end ? SW_SIZE_LOWER_SLOPE : SW_SIZE_UPPER_SLOPE));
    close_section(emit);
}

static void free_length(struct sw_emit *emit, const struct sw_size *size)
{
    struct sw_buf text = {0};
    sw_buf_printf(&text, "%s: %s", FIT_MM(size->value), size->why);
    sw_emit_text(emit, "length", "free");
    sw_emit_behind(emit, sw_buf_text(&text));
    emit->out->failed = emit->out->failed || text.failed;
    sw_buf_done(&text);
}

static void collet_seat(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    const bool is_below = sizing->survey->layout == SW_SPRING_BELOW;
    open_section(emit, "seat", "collet seat");
    number(emit, "diameter", at(sizing, SW_SIZE_COLLET_SEAT));
    tolerance(emit, "tolerance", at(sizing, SW_SIZE_COLLET_SEAT));
    free_length(emit, at(sizing, SW_SIZE_COLLET_LENGTH));
    if (!is_below)
        sw_emit_number(emit, "bevel", bevel_by_seat * at(sizing, SW_SIZE_COLLET_SEAT)->value, 2);
    sw_emit_text(emit, "finish", "stoned");
    close_section(emit);
}

static void rivet(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    if (!at(sizing, SW_SIZE_RIVET)->is_there)
        return;
    open_section(emit, "rivet", NULL);
    number(emit, "height", at(sizing, SW_SIZE_RIVET));
    if (at(sizing, SW_SIZE_LIP)->is_there) {
        sw_emit_open(emit, "recess");
        number(emit, "lip", at(sizing, SW_SIZE_LIP));
        number(emit, "depth", at(sizing, SW_SIZE_RECESS));
        sw_emit_number(emit, "wall", 40, 0);
        sw_emit_behind(emit, "degrees; a ground recess tool's heel clears it (common practice)");
        sw_emit_close(emit);
    }
    close_section(emit);
}

static void balance_seat(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    open_section(emit, "seat", "balance seat");
    number(emit, "diameter", at(sizing, SW_SIZE_BALANCE_SEAT));
    tolerance(emit, "tolerance", at(sizing, SW_SIZE_BALANCE_SEAT));
    number(emit, "length", at(sizing, SW_SIZE_BALANCE_LENGTH));
    close_section(emit);
}

static void hub(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    open_section(emit, "hub", NULL);
    number(emit, "diameter", at(sizing, SW_SIZE_HUB));
    if (sizing->survey->layout == SW_SPRING_BELOW)
        number(emit, "length", at(sizing, SW_SIZE_HUB_LENGTH));
    else
        free_length(emit, at(sizing, SW_SIZE_HUB_LENGTH));
    if (at(sizing, SW_SIZE_LAND)->is_there) {
        number(emit, "land", at(sizing, SW_SIZE_LAND));
        sw_emit_number(emit, "underside", 17.5, 1);
    }
    close_section(emit);
}

static void friction_seat(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    open_section(emit, "seat", "friction seat");
    number(emit, "diameter", at(sizing, SW_SIZE_FRICTION_SEAT));
    tolerance(emit, "tolerance", at(sizing, SW_SIZE_FRICTION_SEAT));
    sw_emit_text(emit, "length", "free");
    sw_emit_behind(emit, "as long as the balance hub's bore");
    sw_emit_text(emit, "takes", "nothing");
    sw_emit_text(emit, "finish", "stoned");
    close_section(emit);
}

static void shank(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    open_section(emit, "cylinder", "upper shank");
    number(emit, "diameter", at(sizing, SW_SIZE_SHANK));
    sw_emit_text(emit, "length", "free");
    close_section(emit);
}

static void roller_seats(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    open_section(emit, "seat", "roller seat");
    number(emit, "diameter", at(sizing, SW_SIZE_ROLLER_SEAT));
    tolerance(emit, "tolerance", at(sizing, SW_SIZE_ROLLER_SEAT));
    sw_emit_text(emit, "at", "hub");
    number(emit, "taper", at(sizing, SW_SIZE_ROLLER_TAPER));
    free_length(emit, at(sizing, SW_SIZE_ROLLER_LENGTH));
    sw_emit_text(emit, "finish", "stoned");
    close_section(emit);
    if (!at(sizing, SW_SIZE_SAFETY_SEAT)->is_there)
        return;
    open_section(emit, "seat", "safety roller seat");
    number(emit, "diameter", at(sizing, SW_SIZE_SAFETY_SEAT));
    tolerance(emit, "tolerance", at(sizing, SW_SIZE_SAFETY_SEAT));
    sw_emit_text(emit, "at", "hub");
    number(emit, "taper", at(sizing, SW_SIZE_ROLLER_TAPER));
    number(emit, "length", at(sizing, SW_SIZE_SAFETY_LENGTH));
    sw_emit_text(emit, "finish", "stoned");
    close_section(emit);
}

static void end_sections(struct sw_emit *emit, const struct sw_sizing *sizing, int end)
{
    if (end == 0)
        pivot(emit, sizing, 0);
    else
        slope(emit, sizing, 1);
    cone(emit, sizing, end);
    if (end == 0)
        slope(emit, sizing, 0);
    else
        pivot(emit, sizing, 1);
}

static void sections(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    const bool is_friction = sizing->survey->parts.fixing == SW_FIX_FRICTION;
    sw_emit_open(emit, "sections");
    end_sections(emit, sizing, 0);
    if (sizing->survey->layout == SW_SPRING_BELOW) {
        shank(emit, sizing);
        hub(emit, sizing);
        balance_seat(emit, sizing);
        rivet(emit, sizing);
        collet_seat(emit, sizing);
    } else if (is_friction) {
        collet_seat(emit, sizing);
        friction_seat(emit, sizing);
    } else {
        collet_seat(emit, sizing);
        rivet(emit, sizing);
        balance_seat(emit, sizing);
        hub(emit, sizing);
    }
    roller_seats(emit, sizing);
    end_sections(emit, sizing, 1);
    sw_emit_close(emit);
}

static void height(struct sw_emit *emit, const char *name, const struct sw_size *size)
{
    sw_emit_open(emit, name);
    number(emit, "at", size);
    tolerance(emit, "tolerance", size);
    sw_emit_close(emit);
}

static void heights(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    sw_emit_open(emit, "heights");
    if (sizing->survey->parts.fixing == SW_FIX_FRICTION)
        height(emit, "friction seat top", at(sizing, SW_SIZE_FRICTION_TOP));
    else
        height(emit, "hub face", at(sizing, SW_SIZE_HUB_FACE));
    height(emit, "roller shoulder", at(sizing, SW_SIZE_ROLLER_SHOULDER));
    sw_emit_close(emit);
}

static void jewel(struct sw_emit *emit, const struct sw_sizing *sizing, const char *key,
                  enum sw_reading_kind hole, enum sw_reading_kind thickness)
{
    const struct sw_known *of = sizing->know->of;
    if (of[hole].origin != SW_ORIGIN_MEASURED || of[thickness].origin == SW_ORIGIN_NONE)
        return;
    sw_emit_open(emit, key);
    sw_emit_number(emit, "hole", of[hole].is.value, DECIMALS);
    sw_emit_number(emit, "thickness", of[thickness].is.value, DECIMALS);
    if (of[thickness].origin == SW_ORIGIN_PROPOSED)
        sw_emit_behind(emit, "[common practice] not measured");
    sw_emit_close(emit);
}

static void jewels(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    const struct sw_knowledge *know = sizing->know;
    const bool has_upper = know->of[SW_READ_UPPER_HOLE].origin == SW_ORIGIN_MEASURED;
    const bool has_lower = know->of[SW_READ_LOWER_HOLE].origin == SW_ORIGIN_MEASURED;
    const bool has_endstones = know->endstones.origin != SW_ORIGIN_NONE;
    if (!has_upper && !has_lower && !has_endstones)
        return;
    sw_emit_open(emit, "jewels");
    jewel(emit, sizing, "upper", SW_READ_UPPER_HOLE, SW_READ_UPPER_JEWEL);
    jewel(emit, sizing, "lower", SW_READ_LOWER_HOLE, SW_READ_LOWER_JEWEL);
    if (has_endstones) {
        sw_emit_number(emit, "between_endstones", know->endstones.is.value, DECIMALS);
        if (know->endstones.origin == SW_ORIGIN_PROPOSED)
            sw_emit_behind(emit, "[common practice] a stand-off was not measured");
    }
    sw_emit_close(emit);
}

static void reading(struct sw_emit *emit, const struct sw_reading *of)
{
    open_section(emit, sw_reading_info[of->kind].key, NULL);
    if (of->is_pins) {
        sw_emit_number(emit, "goes", of->goes, READING_DECIMALS);
        sw_emit_number(emit, "stops", of->stops, READING_DECIMALS);
    } else {
        sw_emit_number(emit, "reads", of->value, READING_DECIMALS);
    }
    if (of->is_repeated)
        sw_emit_number(emit, "uncertainty", of->source.u, READING_DECIMALS);
    else if (of->uncertainty > 0)
        sw_emit_number(emit, "uncertainty", of->uncertainty, READING_DECIMALS);
    else if (of->plus_minus > 0)
        sw_emit_number(emit, "plus_minus", of->plus_minus, READING_DECIMALS);
    if (of->is_olive)
        sw_emit_text(emit, "shape", "olive");
    if (of->by)
        sw_emit_text(emit, "by", of->by);
    close_section(emit);
}

/* What the finished staff is held against; the old staff is no part that it has to fit. */
static void parts(struct sw_emit *emit, const struct sw_sizing *sizing)
{
    static const char *const fixing[] = {"riveted", "driven", "friction"};
    static const char *const metal[] = {"brass", "steel"};
    const struct sw_parts_read *of = &sizing->survey->parts;
    size_t n = 0;
    for (size_t i = 0; i < of->n; i++)
        n += !sw_reading_is_old(of->reading[i].kind);
    if (!n)
        return;
    sw_emit_comment(emit, "As measured; `check` holds the staff against them.");
    sw_emit_open(emit, "parts");
    sw_emit_text(emit, "fixing", fixing[of->fixing]);
    sw_emit_text(emit, "roller_metal", metal[of->roller_metal]);
    sw_emit_open(emit, "readings");
    for (size_t i = 0; i < of->n; i++)
        if (!sw_reading_is_old(of->reading[i].kind))
            reading(emit, &of->reading[i]);
    sw_emit_close(emit);
    sw_emit_close(emit);
}

void sw_size_write_staff(struct sw_buf *out, const struct sw_sizing *sizing)
{
    struct sw_emit emit = {.out = out};
    const struct sw_survey *survey = sizing->survey;
    sw_emit_comment(
        &emit, "Sizes worked out from a survey of the movement. Behind each stands why it is\n"
               "what it is and how well it is known; sizes marked in square brackets were not\n"
               "measured. Try the parts on before the last cut.");
    sw_emit_text(&emit, "format", "staff/1");
    sw_emit_text(&emit, "name", survey->name);
    sw_emit_text(&emit, "material", survey->material);
    if (!survey->material_is_given)
        sw_emit_behind(&emit, "[common practice] tough, keeps its shape, takes a polish");
    sw_emit_open(&emit, "tolerance");
    sw_emit_number(&emit, "diameter", 0.01, DECIMALS);
    sw_emit_number(&emit, "length", 0.01, DECIMALS);
    sw_emit_close(&emit);
    sw_emit_open(&emit, "total");
    number(&emit, "length", at(sizing, SW_SIZE_TOTAL));
    tolerance(&emit, "tolerance", at(sizing, SW_SIZE_TOTAL));
    sw_emit_close(&emit);
    heights(&emit, sizing);
    sections(&emit, sizing);
    jewels(&emit, sizing);
    parts(&emit, sizing);
}
