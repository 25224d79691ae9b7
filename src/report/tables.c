#include "report/tables.h"

#include <math.h>

#include "report/op_time.h"
#include "report/text.h"

const char *sw_report_finish(enum sw_finish finish)
{
    static const char *const word[] = {"turned", "stoned", "burnished"};
    return word[finish];
}

/* Columns of the sections' table. */
enum {
    AT_NAME = 2,
    AT_DIAMETER = 26,
    AT_LENGTH = 49,
    AT_SLENDER = 67,
    AT_FINISH = 74,
    AT_TURNED = 86
};

static void add_diameters(struct sw_buf *out, const struct sw_section *section)
{
    /* A slope has no size to the tenth of a micrometre; fits have. */
    const bool is_slope = fabs(section->r0 - section->r1) > 0 && section->kind != SW_SECTION_SEAT;
    if (is_slope)
        sw_text_number(out, 2 * section->r0, 3);
    else
        sw_text_size(out, 2 * section->r0);
    if (sw_text_round(section->r0 - section->r1, 6) != 0) {
        sw_buf_add(out, "-");
        if (is_slope)
            sw_text_number(out, 2 * section->r1, 3);
        else
            sw_text_size(out, 2 * section->r1);
    }
    sw_buf_add(out, " ");
    sw_text_band(out, &section->diameter_tolerance);
}

static void add_section(struct sw_buf *out, const struct sw_section *section,
                        const struct sw_shape *shape)
{
    const double length = section->z1 - section->z0;
    const double thinnest = 2 * fmin(section->r0, section->r1);
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, section->name);
    sw_buf_pad(out, AT_DIAMETER);
    add_diameters(out, section);
    sw_buf_pad(out, AT_LENGTH);
    sw_text_number(out, length, 3);
    sw_buf_add(out, " ");
    if (section->is_free)
        sw_buf_add(out, "free");
    else
        sw_text_band(out, &section->length_tolerance);
    sw_buf_pad(out, AT_SLENDER);
    if (thinnest > 0)
        sw_text_number(out, length / thinnest, 2);
    sw_buf_pad(out, AT_FINISH);
    sw_buf_add(out, sw_report_finish(section->finish));
    if (shape) {
        sw_buf_pad(out, AT_TURNED);
        sw_text_number(out, shape->section[section->index].turned_diameter, 4);
    }
    sw_buf_add(out, "\n");
}

static void add_relief(struct sw_buf *out, const struct sw_section *section)
{
    if (!section->has_relief)
        return;
    sw_buf_pad(out, AT_NAME);
    sw_buf_printf(out, "relief groove at the foot of the %s, ", section->name);
    sw_text_number(out, section->relief_width, 3);
    sw_buf_add(out, " wide and ");
    sw_text_number(out, section->relief_depth, 3);
    sw_buf_add(out, " deep, turned; neither stone nor burnisher goes into it\n");
}

void sw_report_sections(struct sw_buf *out, const struct sw_staff *staff,
                        const struct sw_shape *shape)
{
    sw_buf_printf(out, "%s: %zu sections, %s, total length ", staff->name, staff->n,
                  staff->material);
    sw_text_size(out, staff->total);
    sw_buf_add(out, " ");
    sw_text_band(out, &staff->total_tolerance);
    sw_buf_add(out, " mm\n\n");
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, "section");
    sw_buf_pad(out, AT_DIAMETER);
    sw_buf_add(out, "diameter");
    sw_buf_pad(out, AT_LENGTH);
    sw_buf_add(out, "length");
    sw_buf_pad(out, AT_SLENDER);
    sw_buf_add(out, "L/d");
    sw_buf_pad(out, AT_FINISH);
    sw_buf_add(out, "finish");
    if (shape) {
        sw_buf_pad(out, AT_TURNED);
        sw_buf_add(out, "turned to");
    }
    sw_buf_add(out, "\n");
    for (size_t i = 0; i < staff->n; i++)
        add_section(out, &staff->section[i], shape);
    for (size_t i = 0; i < staff->n; i++)
        add_relief(out, &staff->section[i]);
    if (staff->n_heights)
        sw_buf_add(out, "\n");
    for (size_t i = 0; i < staff->n_heights; i++) {
        sw_buf_pad(out, AT_NAME);
        sw_buf_printf(out, "%s at ", staff->height[i].name);
        sw_text_number(out, staff->height[i].from_lower_tip, 3);
        sw_buf_add(out, " ");
        sw_text_band(out, &staff->height[i].tolerance);
        sw_buf_add(out, " mm from the lower tip\n");
    }
}

void sw_report_way(struct sw_buf *words, const struct sw_plan_way *way)
{
    sw_buf_printf(words, "%s: ", way->scheme == SW_SCHEME_SINGLE ? "single" : "reversed");
    if (!way->is_made) {
        sw_buf_printf(words, "cannot be made: %s", way->refusal);
        return;
    }
    sw_buf_add(words, "about ");
    sw_text_seconds(words, way->seconds);
    sw_buf_printf(words, " without waiting, in %zu chucking%s", way->n_chuckings,
                  way->n_chuckings == 1 ? "" : "s");
    sw_buf_add(words, "; pivots may run out ");
    sw_text_number(words, 1000 * way->runout, 1);
    sw_buf_add(words, " um against each other; worst planned stress ");
    sw_text_number(words, way->stress, 0);
    sw_buf_add(words, " MPa at the high end of the force; last cuts may leave ");
    sw_text_number(words, 1000 * way->off, 2);
    sw_buf_add(words, " um on a diameter");
}

void sw_report_ways(struct sw_buf *out, const struct sw_plan *plan)
{
    for (size_t i = 0; i < plan->n_ways; i++) {
        struct sw_buf words = {0};
        sw_report_way(&words, &plan->way[i]);
        sw_text_say(out, 0, "", "%s.", sw_buf_text(&words));
        out->failed = out->failed || words.failed;
        sw_buf_done(&words);
    }
    if (plan->way_why)
        sw_text_say(out, 0, "", "Scheme %s.", plan->way_why);
}

static size_t n_passes(const struct sw_plan_chucking *chucking)
{
    size_t n = 0;
    for (size_t i = 0; i < chucking->n_ops; i++)
        n += chucking->op[i].n_passes;
    return n;
}

void sw_report_plan(struct sw_buf *out, const struct sw_plan *plan)
{
    for (size_t i = 0; i < plan->n_chuckings; i++) {
        const struct sw_plan_chucking *chucking = &plan->chucking[i];
        struct sw_buf words = {0};
        if (chucking->is_from_rod) {
            sw_buf_add(&words, chucking->in_bush ? "bar in the guide bush, " : "rod of ");
            sw_text_number(&words, chucking->stock->diameter.value, 3);
        } else {
            sw_buf_printf(&words, "%s, held by the %s (",
                          i == 0 ? "hardened blank" : "turned round", chucking->grips);
            sw_text_size(&words, chucking->grip_diameter);
            sw_buf_add(&words, ")");
        }
        sw_buf_printf(&words, " in %s, ", chucking->holder->name.value);
        sw_text_number(
            &words,
            chucking->in_bush ? chucking->rod_end_z - chucking->face_z : chucking->stick_out, 2);
        sw_buf_printf(&words, " mm out of the %s; %zu operations, %zu passes, about ",
                      chucking->in_bush ? "bush" : "nose", chucking->n_ops, n_passes(chucking));
        sw_text_seconds(&words, chucking->seconds);
        sw_buf_add(&words, " in the cut.");
        sw_text_say(out, 0, "", "%s: %s", chucking->name, sw_buf_text(&words));
        out->failed = out->failed || words.failed;
        sw_buf_done(&words);
    }
    for (size_t i = 0; i < SW_PLAN_CHOICES; i++)
        if (plan->chosen[i])
            sw_text_say(out, 0, "", "%s.", plan->chosen[i]);
    sw_report_ways(out, plan);
}

static void add_finding(struct sw_buf *out, const struct sw_finding *finding)
{
    static const char *const severity[] = {"note", "warning", "error"};
    struct sw_buf lead = {0};
    if (finding->program)
        sw_buf_printf(&lead, "%s:", finding->program);
    if (finding->program && finding->line)
        sw_buf_printf(&lead, "%u:", finding->line);
    if (finding->program && finding->line && finding->column)
        sw_buf_printf(&lead, "%u:", finding->column);
    sw_buf_printf(&lead, "%s%s: %s: ", finding->program ? " " : "", severity[finding->severity],
                  sw_finding_word(finding->code));
    sw_buf_add(out, sw_buf_text(&lead));
    sw_buf_add(out, finding->message);
    if (finding->section)
        sw_buf_printf(out, " [%s", finding->section);
    if (isfinite(finding->z)) {
        sw_buf_add(out, finding->section ? ", z " : " [z ");
        sw_text_number(out, finding->z, 3);
    }
    sw_buf_add(out, finding->section || isfinite(finding->z) ? "]\n" : "\n");
    out->failed = out->failed || lead.failed;
    sw_buf_done(&lead);
}

void sw_report_findings(struct sw_buf *out, const struct sw_verdict *verdict)
{
    for (size_t i = 0; i < verdict->findings.n; i++)
        add_finding(out, &verdict->findings.at[i]);
}

enum { SIZE_AT = 26, TURNED_AT = 38, GOUGE_AT = 62, LEFT_AT = 74 };

static void add_sizes(struct sw_buf *out, const struct sw_verdict *verdict)
{
    sw_buf_add(out, "\n");
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, "section");
    sw_buf_pad(out, SIZE_AT);
    sw_buf_add(out, "wanted");
    sw_buf_pad(out, TURNED_AT);
    sw_buf_add(out, "its path leaves");
    sw_buf_pad(out, GOUGE_AT);
    sw_buf_add(out, "gouge um");
    sw_buf_pad(out, LEFT_AT);
    sw_buf_add(out, "left um\n");
    for (size_t i = 0; i < verdict->n_sections; i++) {
        const struct sw_section_verdict *section = &verdict->section[i];
        sw_buf_pad(out, AT_NAME);
        sw_buf_add(out, section->name);
        sw_buf_pad(out, SIZE_AT);
        sw_text_number(out, section->turned_mm, 4);
        sw_buf_pad(out, TURNED_AT);
        sw_text_bounds(out, section->size_mm.least, section->size_mm.most, 4);
        sw_buf_pad(out, GOUGE_AT);
        sw_text_number(out, section->gouge_um, 2);
        sw_buf_pad(out, LEFT_AT);
        sw_text_number(out, section->left_um, 2);
        sw_buf_add(out, "\n");
    }
    sw_buf_add(out, "\n");
}

/* Of a run, the pieces; those that are cut alike are told together where they follow each other. */
static void say_pieces(struct sw_buf *out, const struct sw_verdict *verdict)
{
    const struct sw_piece_verdict *piece = verdict->piece.at;
    for (size_t i = 0; i < verdict->piece.n; i++) {
        size_t last = i;
        while (last + 1 < verdict->piece.n && piece[last + 1].as == piece[i].as &&
               piece[last + 1].passes == piece[i].passes)
            last++;
        sw_buf_printf(out, last > i ? "pieces %zu to %zu" : "piece %zu", i + 1, last + 1);
        sw_buf_printf(out, " (%s): %s", piece[i].name, piece[i].passes ? "pass" : "fail");
        if (piece[i].program) {
            sw_buf_printf(out, ", from line %u of %s, held on ", piece[i].line, piece[i].program);
            sw_text_number(out, piece[last].gripped_mm, 2);
            sw_buf_add(out, last > i ? " mm and more\n" : " mm\n");
        } else {
            sw_buf_add(out, ", never cut\n");
        }
        i = last;
    }
}

void sw_report_verdict(struct sw_buf *out, const struct sw_verdict *verdict)
{
    sw_report_findings(out, verdict);
    if (verdict->n_sections)
        add_sizes(out, verdict);
    sw_report_left(out, verdict);
    sw_report_loads(out, verdict);
    sw_report_moves(out, verdict);
    size_t n_errors = 0, n_warnings = 0;
    for (size_t i = 0; i < verdict->findings.n; i++) {
        n_errors += verdict->findings.at[i].severity == SW_ERROR;
        n_warnings += verdict->findings.at[i].severity == SW_WARNING;
    }
    for (size_t i = 0; i < verdict->n_programs; i++) {
        const struct sw_program_verdict *program = &verdict->program[i];
        sw_buf_printf(out, "%s: %zu blocks, %zu moves, ", program->file, program->n_blocks,
                      program->n_moves);
        sw_text_seconds(out, program->seconds);
        sw_buf_add(out, " without pauses, ");
        sw_text_number(out, program->removed_mm3, 3);
        sw_buf_add(out, " mm3 removed\n  ");
        sw_report_times(out, &program->time);
        sw_buf_add(out, "\n");
    }
    say_pieces(out, verdict);
    if (isfinite(verdict->length_least_mm)) {
        sw_buf_add(out, "length left: ");
        sw_text_bounds(out, verdict->length_least_mm, verdict->length_most_mm, 4);
        sw_buf_add(out, " mm\n");
    }
    sw_buf_printf(out, "verdict: %s (%zu error%s, %zu warning%s; known to ",
                  verdict->passes ? "pass" : "fail", n_errors, n_errors == 1 ? "" : "s", n_warnings,
                  n_warnings == 1 ? "" : "s");
    sw_text_number(out, verdict->resolution_um, 3);
    sw_buf_add(out, " um)\n");
}
