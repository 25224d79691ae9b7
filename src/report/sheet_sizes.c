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
    sw_buf_add(&words, sheet->setup->tip_by_hand.value != SW_SETUP_NO_TIP
                           ? " off the machine with what stands of the neck; finished "
                           : " off the machine; finished ");
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

/* Both tables in one, for the pages, with room for what is measured. */
static const struct sw_doc_column size_column[] = {
    {.title = "", .is_number = true},
    {.title = "diameter of"},
    {.title = "off the machine", .is_number = true},
    {.title = "hand work", .is_number = true},
    {.title = "finished"},
    {.title = "gauged at", .is_number = true},
    {.title = "its length off", .is_number = true},
    {.title = "finished", .is_number = true},
    {.title = "end off, from upper tip", .is_number = true},
    {.title = "from lower tip", .is_number = true},
    {.title = "finished, from lower tip", .is_number = true},
};

static void add_cell(struct sw_doc *out, struct sw_doc_table *table, struct sw_buf *words)
{
    sw_doc_cell(out, table, "%s", sw_buf_text(words));
    out->failed = out->failed || words->failed;
    words->n = 0;
    if (words->at)
        words->at[0] = '\0';
}

static void number_cell(struct sw_doc *out, struct sw_doc_table *table, struct sw_buf *words,
                        double value, int decimals)
{
    sw_text_number(words, value, decimals);
    add_cell(out, table, words);
}

static void size_table(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_shape *shape = sheet->plan->shape;
    const struct sw_staff *staff = shape->staff;
    const double upper = sw_sheet_tip_stands(sheet, 0), lower = sw_sheet_tip_stands(sheet, 1);
    struct sw_doc_table *table =
        sw_doc_table(out, size_column, sizeof size_column / sizeof *size_column, true);
    struct sw_buf words = {0};
    for (size_t i = 0; i < sheet->verdict->n_sections && i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        const struct sw_section_verdict *size = &sheet->verdict->section[i];
        const struct sw_bounds off = sw_sheet_off_machine(size);
        sw_doc_cell(out, table, "%zu", i + 1);
        sw_doc_cell(out, table, "%s", section->name);
        sw_text_bounds(&words, off.least, off.most, 4);
        add_cell(out, table, &words);
        if (sw_text_round(shape->section[i].take, 4) > 0)
            sw_buf_add(&words, "-");
        if (sw_text_round(shape->section[i].take, 4) > 0)
            sw_text_number(&words, shape->section[i].take, 4);
        add_cell(out, table, &words);
        sw_text_size(&words, sw_sheet_drawn_diameter(shape, i));
        sw_buf_add(&words, " ");
        sw_text_band(&words, &section->diameter_tolerance);
        add_cell(out, table, &words);
        number_cell(out, table, &words, staff->total - size->measure_z_mm, 3);
        length_off(&words, sheet, i);
        add_cell(out, table, &words);
        number_cell(out, table, &words, section->z1 - section->z0, 3);
        const bool has_end = i + 1 < staff->n;
        number_cell(out, table, &words, has_end ? section->z1 + upper : (double)NAN, 3);
        number_cell(out, table, &words, has_end ? staff->total - section->z1 + lower : (double)NAN,
                    3);
        number_cell(out, table, &words, has_end ? staff->total - section->z1 : (double)NAN, 3);
    }
    sw_buf_done(&words);
}

static const struct sw_doc_column blank_column[] = {
    {.title = "", .is_number = true},
    {.title = "section"},
    {.title = "expect", .is_number = true},
    {.title = "turned: diameter", .least = 28, .is_blank = true},
    {.title = "near its root", .least = 24, .is_blank = true},
    {.title = "apart", .least = 18, .is_blank = true},
    {.title = "stoned or burnished", .least = 28, .is_blank = true},
    {.title = "length", .least = 24, .is_blank = true},
};

enum { BLANK_OFF = 26, BLANK_TURNED = 36, BLANK_ROOT = 51, BLANK_APART = 66, BLANK_AFTER = 77 };

/* What can be gauged: of cones and slopes only where they end. */
bool sw_sheet_is_gauged(const struct sw_section *section)
{
    return section->kind != SW_SECTION_CONE && section->kind != SW_SECTION_BACK_SLOPE &&
           section->kind != SW_SECTION_GROOVE;
}

/* Blanks for what is measured, section by section, in the words of a measured/1 file. */
static void blanks(struct sw_doc *out, const struct sw_sheet *sheet)
{
    static const char line[] = "__________", shorter[] = "_______";
    const struct sw_staff *staff = sheet->plan->shape->staff;
    sw_doc_headline(out, "Measured");
    struct sw_doc_table *table =
        sw_doc_table(out, blank_column, sizeof blank_column / sizeof *blank_column, true);
    struct sw_buf lines = {0}, words = {0};
    cell(&lines, NAME, "section");
    cell(&lines, BLANK_OFF, "expect");
    cell(&lines, BLANK_TURNED, "turned");
    cell(&lines, BLANK_ROOT, "near root");
    cell(&lines, BLANK_APART, "apart");
    cell(&lines, BLANK_AFTER, "stoned, burnished\n");
    for (size_t i = 0; i < sheet->verdict->n_sections && i < staff->n; i++) {
        if (!sw_sheet_is_gauged(&staff->section[i]))
            continue;
        const double expect = sw_sheet_turned(sheet, i);
        cell(&lines, NAME, staff->section[i].name);
        number(&lines, BLANK_OFF, expect, 4);
        cell(&lines, BLANK_TURNED, line);
        cell(&lines, BLANK_ROOT, line);
        cell(&lines, BLANK_APART, shorter);
        cell(&lines, BLANK_AFTER, line);
        sw_buf_add(&lines, "\n");
        sw_doc_cell(out, table, "%zu", i + 1);
        sw_doc_cell(out, table, "%s", staff->section[i].name);
        number_cell(out, table, &words, expect, 4);
        enum { N_BLANKS = 5 };
        for (int k = 0; k < N_BLANKS; k++)
            sw_doc_cell(out, table, "%s", "");
    }
    sw_buf_done(&words);
    sw_doc_lines(out, &lines);
    sw_doc_say(out, 2, "",
               "Total length: turned ____________   finished ____________   piece ________   date "
               "____________");
    sw_doc_say(out, 2, "",
               "Typed into a file of `format: measured/1` under these names (diameter; "
               "root_diameter and apart where a pivot was gauged twice; stage: stoned or "
               "burnished for the last column; under `lengths` what was gauged `from` a face `to` "
               "another), `staffwright correct%s JOB measured.yaml` says what to change; with "
               "--finish it writes a program for what came out too thick on side 2.",
               sw_sheet_is_hardened(sheet) ? " --hardened" : "");
}

void sw_sheet_sizes(struct sw_doc *out, const struct sw_sheet *sheet)
{
    sw_doc_headline(out, "Sizes");
    size_table(out, sheet);
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
    sw_sheet_moves(out, sheet);
    blanks(out, sheet);
}
