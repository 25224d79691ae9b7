#include "report/sheet.h"

#include <math.h>
#include <string.h>

#include "geom/solid.h"
#include "report/sheet_int.h"
#include "report/tables.h"
#include "report/text.h"

const struct sw_setup_side *sw_sheet_setup_side(const struct sw_sheet *sheet, size_t i)
{
    return &((const struct sw_setup_side *)sheet->setup->sides.at)[i];
}

static void headline_job(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_plan *plan = sheet->plan;
    const struct sw_staff *staff = plan->shape->staff;
    const struct sw_plan_chucking *first = &plan->chucking[0];
    struct sw_buf words = {0};
    sw_buf_printf(&words, "%s: set-up sheet\n\n", staff->name);
    sw_doc_lines(out, &words);
    sw_buf_printf(&words, "Job %s: balance staff %s of %s, total length ", plan->job->name.value,
                  staff->name, first->stock->material.value);
    sw_text_number(&words, staff->total, 3);
    if (sw_sheet_is_hardened(sheet)) {
        sw_buf_add(&words, ", the finish of a hardened blank");
    } else {
        sw_buf_add(&words, ", from rod of ");
        sw_text_number(&words, first->stock->diameter.value, 3);
    }
    sw_buf_printf(&words, ", in %zu chucking%s on %s, dialect %s", plan->n_chuckings,
                  plan->n_chuckings == 1 ? "" : "s", plan->shop->machine->name.value,
                  sw_post_name(sheet->post));
    if (sw_post_abilities(sheet->post).chord_error > 0)
        sw_buf_printf(
            &words,
            ": arcs as straight moves that stand off them by %g um at most, before rounding",
            sw_post_abilities(sheet->post).chord_error * 1000.0);
    sw_buf_add(&words, ".");
    sw_doc_words(out, 0, "", 0, sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
    sw_doc_say(out, 0, "",
               "All lengths in mm, diameters in full. X in this sheet is what the control shows "
               "and reads: %s. T1, T2 and so on are the stations of the machine.",
               plan->shop->machine->control.x.value == SW_X_DIAMETER
                   ? "the diameter"
                   : "the radius, half the diameter");
    sw_doc_say(out, 0, "",
               "The dry run of these very texts passed (staffwright %s). They were judged by "
               "calculation and not run on a machine. Cutting forces, bending and stress were part "
               "of the judgement; such forces are known to a factor of two or three, no better.",
               sheet->version);
}

/* Sizes and allowances of a job are those of the rod as it is turned; nothing is left on for what
 * heat does to a piece. */
static void say_soft(struct sw_doc *out, const struct sw_material *material)
{
    if (!material || material->state.value != SW_STATE_ANNEALED)
        return;
    sw_doc_say(out, 0, "  - ",
               "%s is soft, and so is the staff cut from it: soft pivots wear and bend in use. "
               "Only what hand work takes is left on. Hardening and tempering change sizes and may "
               "bend the piece: do not count on its fits or its pivots after heat.",
               material->name.value);
    sw_doc_say(
        out, 0, "  - ",
        "If it is hardened nevertheless, that is done away from the machine, by the steel "
        "maker's data sheet and the local rules for heat, fire and fumes: eye and hand "
        "protection, good ventilation, a lid and an extinguisher fit for burning oil at "
        "hand, no water near hot oil. Measure every size, straightness and hardness or temper "
        "colour anew afterwards.");
}

void sw_sheet_cautions(struct sw_doc *out, const struct sw_sheet *sheet)
{
    sw_doc_headline(out, "Cautions");
    const char *const caution[] = {
        "The machine's own manual, the rules of the shop and local regulations come before this "
        "sheet; the operator decides whether and how the spindle starts.",
        "Wear eye protection (a loupe is none) and keep the guard closed while the spindle turns.",
        sheet->plan->chucking[0].in_bush
            ? "Before the bar goes in, run each program in the air first, without it; then cut the "
              "first piece in single block at reduced feed, a hand at the stop."
        : sw_sheet_is_hardened(sheet)
            ? "Before the blank goes in, run each program in the air first, the tools drawn back "
              "in "
              "Z; then cut the first piece in single block at reduced feed, a hand at the stop."
            : "Before the rod goes in, run each program in the air first, the tools drawn back in "
              "Z; then cut the first piece in single block at reduced feed, a hand at the stop.",
        sw_sheet_is_hardened(sheet)
            ? "Hardened steel chips into splinters, and a blank that was not tempered breaks."
            : "Keep the bar tail behind the spindle supported, or cut the rod short: a free tail "
              "whips.",
        "Never push the piece home by its other pivot: push on a shoulder.",
        "Before a stone or a burnisher comes near the work the program must have ended and all "
        "tools must be parked far away; bring no finger and no cloth to a turning piece.",
        "No loose sleeves, gloves, rings or long hair near the spindle; no key left in the "
        "holder; no gauge on the work while it turns.",
        "Fine chips and oil catch fire easily and fine chips cut: brush them off with the spindle "
        "stopped, keep flame away.",
    };
    for (size_t i = 0; i < sizeof caution / sizeof *caution; i++)
        sw_doc_say(out, 0, "  - ", "%s", caution[i]);
    const struct sw_material *material = sheet->plan->chucking[0].stock->is;
    if (material && material->has_lead.value == 1)
        sw_doc_say(out, 0, "  - ",
                   "%s holds lead: keep chips and oil mist off food and skin, wash hands.",
                   material->name.value);
    if (sw_sheet_is_blank(sheet))
        sw_sheet_heat_cautions(out);
    else
        say_soft(out, material);
}

static bool is_proved(const struct sw_control *control, const char *key)
{
    const struct sw_text *proved = control->proved.at;
    for (size_t i = 0; i < control->proved.n; i++)
        if (strcmp(proved[i].value, key) == 0)
            return true;
    return false;
}

/* The value of one control fact as its owner would write it. */
static void add_fact(struct sw_buf *out, const struct sw_field *field, const void *at)
{
    if (field->kind == SW_FIELD_WORD) {
        const struct sw_choice *choice = at;
        sw_buf_add(out, choice->value >= 0 ? field->words[choice->value] : "not said");
    } else if (field->kind == SW_FIELD_TRUTH) {
        const struct sw_choice *choice = at;
        sw_buf_add(out, choice->value < 0 ? "not said" : choice->value ? "yes" : "no");
    } else {
        const struct sw_number *number = at;
        sw_text_number(out, number->value, field->kind == SW_FIELD_INTEGER ? 0 : 3);
    }
}

/* A number that is neither given nor has a usual value says nothing. */
static bool says_something(const struct sw_field *field, const void *at)
{
    if (field->kind == SW_FIELD_NUMBER || field->kind == SW_FIELD_INTEGER)
        return field->fallback || ((const struct sw_number *)at)->given;
    return field->kind == SW_FIELD_WORD || field->kind == SW_FIELD_TRUTH;
}

static void unproved_facts(struct sw_doc *out, const struct sw_machine *machine)
{
    const struct sw_table *table = NULL;
    for (size_t i = 0; i < sw_machine_table.n; i++)
        if (strcmp(sw_machine_table.field[i].key, "control") == 0)
            table = sw_machine_table.field[i].table;
    if (!table)
        return;
    struct sw_buf words = {0};
    size_t n = 0;
    for (size_t i = 0; i < table->n; i++) {
        const struct sw_field *field = &table->field[i];
        const void *at = (const char *)&machine->control + field->offset;
        if (!says_something(field, at) || is_proved(&machine->control, field->key))
            continue;
        sw_buf_printf(&words, "%s%s: ", n++ ? "; " : "", field->key);
        add_fact(&words, field, at);
    }
    sw_doc_headline(out, "What the judgement takes on trust");
    if (n)
        sw_doc_say(out, 2, "",
                   "How this control reads a program was copied from its manual. Not yet proved "
                   "by an air cut: %s.",
                   sw_buf_text(&words));
    else
        sw_doc_say(out, 2, "", "All facts about this control were proved by an air cut.");
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void figures(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_material *material = sheet->plan->chucking[0].stock->is;
    struct sw_solid solid;
    sw_solid_of(&solid, &sheet->plan->shape->finished);
    const double density = material->density.value; /* g/cm3 = mg/mm3 */
    sw_doc_headline(out, "Figures");
    sw_doc_say(out, 2, "",
               "The %s alone: volume %.4f mm3, mass %.3f mg, moment of inertia about "
               "its axis %.4f mg mm2.",
               sw_sheet_is_blank(sheet) ? "blank" : "finished staff",
               sw_text_round(solid.volume_mm3, 4), sw_text_round(solid.volume_mm3 * density, 3),
               sw_text_round(solid.polar_mm5 * density, 4));
    struct sw_buf programs = {0};
    for (size_t i = 0; i < sheet->verdict->n_programs; i++) {
        const struct sw_program_verdict *program = &sheet->verdict->program[i];
        sw_buf_printf(&programs, "%s%s %zu blocks, ", i ? "; " : "", program->file,
                      program->n_blocks);
        sw_text_seconds(&programs, program->seconds);
    }
    sw_doc_say(out, 2, "", "Without pauses: %s.", sw_buf_text(&programs));
    out->failed = out->failed || programs.failed;
    sw_buf_done(&programs);
    sw_doc_say(out, 2, "", "Sizes off the machine are known to %.3f um of what the texts say.",
               sw_text_round(sheet->verdict->resolution_um, 3));
    struct sw_buf bending = {0}, stress = {0};
    sw_report_worst_bending(&bending, sheet->verdict);
    sw_report_worst_stress(&stress, sheet->verdict);
    if (bending.n)
        sw_doc_say(out, 2, "", "Calculated, %s.", sw_buf_text(&bending));
    if (stress.n)
        sw_doc_say(out, 2, "", "Calculated, %s.", sw_buf_text(&stress));
    out->failed = out->failed || bending.failed || stress.failed;
    sw_buf_done(&bending);
    sw_buf_done(&stress);
    for (size_t i = 0; i < sheet->verdict->findings.n; i++)
        if (sheet->verdict->findings.at[i].severity != SW_ERROR)
            sw_doc_say(out, 2, "", "Noted by the dry run: %s: %s.",
                       sw_finding_word(sheet->verdict->findings.at[i].code),
                       sheet->verdict->findings.at[i].message);
}

void sw_sheet_say_all(struct sw_doc *out, const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    const struct sw_shop *shop = sheet->plan->shop;
    headline_job(out, sheet);
    sw_doc_figure(out, SW_DOC_STAFF, 0);
    sw_sheet_cautions(out, sheet);
    unproved_facts(out, shop->machine);
    sw_sheet_bench(out, sheet);
    if (sw_sheet_is_hardened(sheet))
        sw_sheet_comes_back(out, sheet);
    for (size_t i = 0; i < sheet->plan->n_chuckings; i++)
        sw_sheet_side(out, sheet, i, ctx);
    sw_sheet_sizes(out, sheet);
    if (sw_sheet_is_blank(sheet)) {
        sw_sheet_hardening(out, sheet);
    } else {
        sw_sheet_hand_work(out, sheet);
        sw_sheet_after(out, sheet);
    }
    figures(out, sheet);
}

enum sw_status sw_report_sheet(struct sw_buf *out, const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    struct sw_doc doc = {.arena = ctx->arena};
    sw_sheet_say_all(&doc, sheet, ctx);
    sw_doc_write_text(out, &doc);
    return out->failed ? SW_MEMORY : SW_OK;
}
