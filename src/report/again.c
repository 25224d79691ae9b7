#include "report/again.h"

#include <math.h>

#include "report/sheet_int.h"
#include "report/text.h"

enum { SECOND = 1 };

static void say_what(struct sw_doc *doc, const struct sw_sheet *sheet,
                     const struct sw_report_again *what)
{
    sw_doc_sub(doc, "What is cut once more");
    for (size_t i = 0; i < what->n; i++) {
        const struct sw_section_verdict *is = &sheet->verdict->section[what->at[i].section];
        if (what->at[i].is_gauged)
            sw_doc_say(doc, 2, "- ", "%s: gauged %.4f, %.4f too thick; %.4f wanted off the machine",
                       is->name, what->at[i].found, what->at[i].found - is->turned_mm,
                       is->turned_mm);
        else
            sw_doc_say(doc, 2, "- ",
                       "%s: cut along with it, taken to stand as much too thick: it was not gauged "
                       "itself",
                       is->name);
    }
}

static void say_first(struct sw_doc *doc, const struct sw_sheet *sheet)
{
    const struct sw_plan_chucking *second = &sheet->plan->chucking[SECOND];
    sw_doc_sub(doc, "Before it");
    sw_doc_say(doc, 2, "- ",
               "Put the offsets right that `correct` names. The program counts on tools that stand "
               "where their offsets say: with the offsets the piece was cut with it would cut "
               "nothing.");
    sw_doc_say(doc, 2, "- ",
               "Best with the piece still in the holder. Taken out and put back by the %s it may "
               "run out by up to %.4f, and the cut takes so much more on one side.",
               second->grips, sw_text_round(sw_plan_runout(sheet->plan), 4));
}

static void say_after(struct sw_doc *doc, const struct sw_sheet *sheet,
                      const struct sw_report_again *what)
{
    sw_doc_sub(doc, "Sizes then, off the machine");
    for (size_t i = 0; i < what->n; i++) {
        const struct sw_section_verdict *is = &sheet->verdict->section[what->at[i].section];
        struct sw_buf size = {0}, bent = {0};
        if (!what->at[i].is_gauged)
            continue;
        sw_text_bounds(&size, is->size_mm.least, is->size_mm.most, 4);
        sw_text_bounds(&bent, is->predicted_mm.least, is->predicted_mm.most, 4);
        sw_doc_say(doc, 2, "- ", "%s: %s by the text, %s with all that moves it; found ________",
                   is->name, sw_buf_text(&size), sw_buf_text(&bent));
        doc->failed = doc->failed || size.failed || bent.failed;
        sw_buf_done(&size);
        sw_buf_done(&bent);
    }
    for (size_t i = 0; i < sheet->verdict->findings.n; i++)
        if (sheet->verdict->findings.at[i].severity != SW_ERROR)
            sw_doc_say(doc, 2, "", "Noted by the dry run: %s: %s.",
                       sw_finding_word(sheet->verdict->findings.at[i].code),
                       sheet->verdict->findings.at[i].message);
    sw_doc_say(doc, 2, "", "Then stone and burnish as the sheet of the job says.");
}

static void say_all(struct sw_doc *doc, const struct sw_sheet *sheet,
                    const struct sw_report_again *what, struct sw_ctx *ctx)
{
    struct sw_buf title = {0};
    sw_buf_printf(&title, "%s: piece %.0f once more", sheet->plan->shape->staff->name, what->piece);
    doc->reader = SW_DOC_FOR_TEXT; /* every page has it above */
    sw_doc_headline(doc, sw_buf_text(&title));
    doc->reader = SW_DOC_FOR_BOTH;
    doc->failed = doc->failed || title.failed;
    sw_buf_done(&title);
    say_what(doc, sheet, what);
    say_first(doc, sheet);
    sw_sheet_cautions(doc, sheet);
    sw_sheet_side(doc, sheet, SECOND, ctx);
    say_after(doc, sheet, what);
}

enum sw_status sw_report_again_sheet(struct sw_buf *out, const struct sw_sheet *sheet,
                                     const struct sw_report_again *what, struct sw_ctx *ctx)
{
    struct sw_doc doc = {.arena = ctx->arena};
    say_all(&doc, sheet, what, ctx);
    sw_doc_write_text(out, &doc);
    return out->failed || doc.failed ? SW_MEMORY : SW_OK;
}

enum sw_status sw_report_again_pages(struct sw_drawing **out, const struct sw_sheet *sheet,
                                     const struct sw_report_again *what, struct sw_ctx *ctx)
{
    struct sw_doc doc = {.arena = ctx->arena};
    const char *title = sw_arena_printf(ctx->arena, "piece %.0f once more", what->piece);
    if (!title)
        return SW_MEMORY;
    say_all(&doc, sheet, what, ctx);
    return sw_sheet_set_pages(out, &doc, title, sheet, ctx);
}
