/* Tables of sizes: what comes off the machine, as judged, beside what shall stand in the end. */
#include <math.h>

#include "report/sheet_int.h"
#include "report/text.h"

enum { NAME = 2, OFF = 26, TAKE = 46, FINISHED = 57, GAUGED = 78 };
enum { LENGTH_OFF = 26, LENGTH = 42, FROM_UPPER = 54, FROM_LOWER = 68, LOWER_FINISHED = 82 };

double sw_sheet_drawn_diameter(const struct sw_shape *shape, size_t section)
{
    return shape->section[section].finished_diameter -
           sw_section_middle(&shape->staff->section[section]);
}

double sw_sheet_tip_stands(const struct sw_sheet *sheet, int tip)
{
    const struct sw_setup *setup = sheet->setup;
    return setup->tip.value + (tip == 0 ? setup->upper_long.value : setup->lower_long.value);
}

static void cell(struct sw_buf *out, size_t column, const char *text)
{
    sw_buf_pad(out, column);
    sw_buf_add(out, text);
}

static void number(struct sw_buf *out, size_t column, double value, int decimals)
{
    sw_buf_pad(out, column);
    sw_text_number(out, value, decimals);
}

struct sw_bounds sw_sheet_off_machine(const struct sw_section_verdict *size)
{
    const double middle = (size->size_mm.least + size->size_mm.most) / 2;
    const double bend =
        isfinite(size->predicted_nominal_mm) ? size->predicted_nominal_mm - middle : 0;
    return (struct sw_bounds){size->size_mm.least + bend, size->size_mm.most + bend};
}

static void diameters(struct sw_buf *out, const struct sw_sheet *sheet)
{
    const struct sw_shape *shape = sheet->plan->shape;
    const struct sw_staff *staff = shape->staff;
    const struct sw_verdict *verdict = sheet->verdict;
    cell(out, NAME, "diameter of");
    cell(out, OFF, "off the machine");
    cell(out, TAKE, "hand work");
    cell(out, FINISHED, "finished");
    cell(out, GAUGED, "gauged at\n");
    for (size_t i = 0; i < verdict->n_sections && i < staff->n; i++) {
        const struct sw_section_verdict *size = &verdict->section[i];
        const double take = shape->section[i].take;
        cell(out, NAME, staff->section[i].name);
        sw_buf_pad(out, OFF);
        const struct sw_bounds off = sw_sheet_off_machine(size);
        sw_text_bounds(out, off.least, off.most, 4);
        if (sw_text_round(take, 4) > 0) {
            cell(out, TAKE, "-");
            sw_text_number(out, take, 4);
        }
        sw_buf_pad(out, FINISHED);
        sw_text_size(out, sw_sheet_drawn_diameter(shape, i));
        sw_buf_add(out, " ");
        sw_text_band(out, &staff->section[i].diameter_tolerance);
        number(out, GAUGED, staff->total - size->measure_z_mm, 3);
        sw_buf_add(out, "\n");
    }
}

/* A length off the machine: the judge's between shoulders, else as the programs place its ends. */
static void length_off(struct sw_buf *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_bounds judged = sheet->verdict->section[i].length_mm;
    const struct sw_shape_section *turned = &sheet->plan->shape->section[i];
    if (isfinite(judged.least) && isfinite(judged.most))
        sw_text_bounds(out, judged.least, judged.most, 3);
    else
        sw_text_number(out, turned->z1 - turned->z0, 3);
}

static void lengths(struct sw_buf *out, const struct sw_sheet *sheet)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const double upper = sw_sheet_tip_stands(sheet, 0), lower = sw_sheet_tip_stands(sheet, 1);
    sw_buf_add(out, "\n");
    cell(out, FROM_UPPER, "its lower end stands\n");
    cell(out, NAME, "length of");
    cell(out, LENGTH_OFF, "off the machine");
    cell(out, LENGTH, "finished");
    cell(out, FROM_UPPER, "off the machine, from the");
    cell(out, LOWER_FINISHED, "finished,\n");
    cell(out, FROM_UPPER, "upper tip");
    cell(out, FROM_LOWER, "lower tip");
    cell(out, LOWER_FINISHED, "lower tip\n");
    for (size_t i = 0; i < sheet->verdict->n_sections && i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        cell(out, NAME, section->name);
        sw_buf_pad(out, LENGTH_OFF);
        length_off(out, sheet, i);
        number(out, LENGTH, section->z1 - section->z0, 3);
        if (i + 1 < staff->n) {
            number(out, FROM_UPPER, section->z1 + upper, 3);
            number(out, FROM_LOWER, staff->total - section->z1 + lower, 3);
            number(out, LOWER_FINISHED, staff->total - section->z1, 3);
        }
        sw_buf_add(out, "\n");
    }
}

static void heights(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    struct sw_buf words = {0};
    for (size_t i = 0; i < staff->n_heights; i++) {
        const struct sw_height *height = &staff->height[i];
        words.n = 0;
        sw_buf_printf(&words, "Height of the %s from the lower tip: ", height->name);
        sw_text_number(&words, height->from_lower_tip + sw_sheet_tip_stands(sheet, 1), 3);
        sw_buf_add(&words, " off the machine; finished ");
        sw_text_number(&words, height->from_lower_tip, 3);
        sw_buf_add(&words, " ");
        sw_text_band(&words, &height->tolerance);
        sw_doc_say(out, 2, "", "%s.", sw_buf_text(&words));
    }
    words.n = 0;
    sw_buf_add(&words, "Total length: ");
    sw_text_bounds(&words, sheet->verdict->length_least_mm, sheet->verdict->length_most_mm, 4);
    sw_buf_add(&words, " off the machine; finished ");
    sw_text_number(&words, staff->total, 3);
    sw_buf_add(&words, " ");
    sw_text_band(&words, &staff->total_tolerance);
    sw_doc_say(out, 2, "", "%s.", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void recesses(struct sw_doc *out, const struct sw_sheet *sheet)
{
    static const double degree = 3.14159265358979323846 / 180;
    const struct sw_staff *staff = sheet->plan->shape->staff;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        if (section->has_recess)
            sw_doc_say(out, 2, "",
                       "Recess of the %s: lip %.3f thick at its face, %.3f deep, wall %.1f "
                       "degrees from the axis.",
                       section->name, sw_text_round(section->recess_lip, 3),
                       sw_text_round(section->recess_depth, 3),
                       sw_text_round(section->recess_wall / degree, 1));
    }
}

void sw_sheet_sizes(struct sw_doc *out, const struct sw_sheet *sheet)
{
    sw_doc_headline(out, "Sizes");
    struct sw_buf lines = {0};
    diameters(&lines, sheet);
    sw_doc_lines(out, &lines);
    sw_doc_say(out, 2, "",
               "Off the machine: as the programs leave it, with the bending of the last cut by the "
               "usual force. Gauged at: this far from the finished lower tip; cones, slopes and "
               "tapers change along their length.");
    lengths(&lines, sheet);
    sw_buf_add(&lines, "\n");
    sw_doc_lines(out, &lines);
    heights(out, sheet);
    recesses(out, sheet);
}
