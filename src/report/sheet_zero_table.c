/* Tools and their zeroes for the pages: one row a tool; ways that several share are told once,
 * below. */
#include <string.h>

#include "report/sheet_int.h"
#include "report/text.h"

static const struct sw_doc_column column[] = {
    {.title = ""},
    {.title = "tool", .may_wrap = true},
    {.title = "numbers mean", .may_wrap = true},
    {.title = "turns"},
    {.title = "number goes into", .may_wrap = true},
    {.title = "Z by"},
    {.title = "Z reads", .may_wrap = true},
    {.title = "Z set to", .least = 17, .is_blank = true},
    {.title = "X by"},
    {.title = "X reads", .may_wrap = true},
    {.title = "D", .least = 15, .is_blank = true},
    {.title = "X set to", .least = 17, .is_blank = true},
};

/* Where X is kept from the first side. */
static const struct sw_doc_column kept_column[] = {
    {.title = ""},
    {.title = "tool", .may_wrap = true},
    {.title = "numbers mean", .may_wrap = true},
    {.title = "turns"},
    {.title = "number goes into", .may_wrap = true},
    {.title = "Z by"},
    {.title = "Z reads", .may_wrap = true},
    {.title = "Z set to", .least = 17, .is_blank = true},
    {.title = "X", .may_wrap = true},
};

enum { MOST_WAYS = 24 };
struct ways {
    const char *at[MOST_WAYS];
    bool is_x[MOST_WAYS];
    size_t n;
};

/* "a" for the first way told, "b" for the next; NULL when there is no letter left. */
static const char *letter_of(struct sw_doc *out, struct ways *ways, const char *way, bool is_x)
{
    size_t i = 0;
    while (i < ways->n && (ways->is_x[i] != is_x || strcmp(ways->at[i], way) != 0))
        i++;
    if (i == ways->n) {
        const char *kept = ways->n < MOST_WAYS ? sw_arena_copy(out->arena, way, strlen(way)) : NULL;
        out->failed = out->failed || !kept;
        if (!kept)
            return "";
        ways->is_x[i] = is_x;
        ways->at[ways->n++] = kept;
    }
    const char *letter = sw_arena_printf(out->arena, "%c", (char)('a' + i));
    out->failed = out->failed || !letter;
    return letter ? letter : "";
}

/* "theoretical tip: X axis side, Z headstock side" */
static void add_point(struct sw_buf *out, const struct sw_tool *tool)
{
    if (tool->point.value == SW_POINT_NOSE_CENTRE)
        sw_buf_add(out, "centre of the nose");
    else
        sw_buf_printf(out, "theoretical tip: X axis side, Z %s side",
                      tool->touched.value == SW_TOUCHED_FREE_SIDE ? "free" : "headstock");
}

static const char *turns(const struct sw_sheet *sheet, int station)
{
    const struct sw_station *at = sw_machine_station(sheet->plan->shop->machine, station);
    return at && at->spindle.value == SW_SENSE_CCW ? "M4" : "M3";
}

static void row(struct sw_doc *out, struct sw_doc_table *table, struct ways *ways,
                const struct sw_sheet *sheet, size_t side, const struct sw_sheet_file *file,
                const struct sw_setup_station *station)
{
    const int number = (int)station->station.value;
    const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
    struct sw_buf what = {0}, point = {0};
    sw_sheet_tool_words(&what, tool);
    sw_doc_cell(out, table, "T%d", number);
    sw_doc_cell(out, table, "%s: %s", tool->name.value, sw_buf_text(&what));
    add_point(&point, tool);
    sw_doc_cell(out, table, "%s", sw_buf_text(&point));
    sw_doc_cell(out, table, "%s", turns(sheet, number));
    struct sw_sheet_zero z, x;
    sw_sheet_zero_z(&z, sheet, side, file->first, station);
    sw_doc_cell(out, table, "%s", sw_buf_text(&z.place));
    sw_doc_cell(out, table, "%s", letter_of(out, ways, sw_buf_text(&z.way), false));
    sw_doc_cell(out, table, "%s", sw_buf_text(&z.typed));
    sw_doc_cell(out, table, "%s", "");
    if (sw_sheet_finds_x(sheet, side)) {
        sw_sheet_zero_x(&x, sheet, side, file->first, station);
        sw_doc_cell(out, table, "%s", letter_of(out, ways, sw_buf_text(&x.way), true));
        sw_doc_cell(out, table, "%s", sw_buf_text(&x.typed));
        sw_doc_cell(out, table, "%s", "");
        sw_doc_cell(out, table, "%s", "");
        sw_sheet_zero_done(out, &x);
    } else {
        const struct sw_plan_chucking *first = &sheet->plan->chucking[0];
        const bool was_early = !sw_sheet_cuts_in(first, 0, first->n_ops, number);
        if (was_early)
            sw_doc_cell(out, table, "as found on the %s before side 1", sw_sheet_work_word(sheet));
        else
            sw_doc_cell(out, table, "keeps the zero found on side 1; do not set it again");
    }
    sw_sheet_zero_done(out, &z);
    out->failed = out->failed || what.failed || point.failed;
    sw_buf_done(&what);
    sw_buf_done(&point);
}

/* A tool of side K that finds its X on the rod of the first. */
static void early_row(struct sw_doc *out, struct sw_doc_table *table, struct ways *ways,
                      const struct sw_sheet *sheet, size_t k,
                      const struct sw_setup_station *station)
{
    const int number = (int)station->station.value;
    const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
    struct sw_sheet_zero x;
    sw_sheet_zero_x(&x, sheet, 0, 0, station);
    sw_doc_cell(out, table, "T%d", number);
    sw_doc_cell(out, table, "%s, used on %s only: its X is found now, while there is a %s",
                tool->name.value, sw_sheet_setup_side(sheet, k)->name.value,
                sw_sheet_work_word(sheet));
    sw_doc_cell(out, table, NULL);
    sw_doc_cell(out, table, NULL);
    sw_doc_cell(out, table, "%s", sw_buf_text(&x.place));
    sw_doc_cell(out, table, "%s", "\u2013");
    sw_doc_cell(out, table, "Z on %s", sw_sheet_setup_side(sheet, k)->name.value);
    sw_doc_cell(out, table, NULL);
    sw_doc_cell(out, table, "%s", letter_of(out, ways, sw_buf_text(&x.way), true));
    sw_doc_cell(out, table, "%s", sw_buf_text(&x.typed));
    sw_doc_cell(out, table, "%s", "");
    sw_doc_cell(out, table, "%s", "");
    sw_sheet_zero_done(out, &x);
}

static void early_rows(struct sw_doc *out, struct sw_doc_table *table, struct ways *ways,
                       const struct sw_sheet *sheet)
{
    for (size_t k = 1; k < sheet->plan->n_chuckings; k++) {
        const struct sw_setup_side *side = sw_sheet_setup_side(sheet, k);
        const struct sw_setup_station *station = side->stations.at;
        for (size_t i = 0; i < side->stations.n; i++)
            if (sw_sheet_is_early(sheet, k, (int)station[i].station.value))
                early_row(out, table, ways, sheet, k, &station[i]);
    }
}

bool sw_sheet_zero_table(struct sw_doc *out, const struct sw_sheet *sheet, size_t side,
                         const struct sw_sheet_file *file)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    const struct sw_setup_station *station = record->stations.at;
    size_t n = 0;
    for (size_t k = 0; k < record->stations.n; k++)
        n += sw_sheet_cuts_in(chucking, file->first, file->end, (int)station[k].station.value);
    if (n < 2)
        return false;
    sw_doc_widen(out);
    struct ways ways = {0};
    struct sw_doc_table *table =
        sw_sheet_finds_x(sheet, side)
            ? sw_doc_table(out, column, sizeof column / sizeof *column, true)
            : sw_doc_table(out, kept_column, sizeof kept_column / sizeof *kept_column, true);
    for (size_t k = 0; k < record->stations.n; k++)
        if (sw_sheet_cuts_in(chucking, file->first, file->end, (int)station[k].station.value))
            row(out, table, &ways, sheet, side, file, &station[k]);
    if (side == 0 && !sw_sheet_finds_x(sheet, 1))
        early_rows(out, table, &ways, sheet);
    const enum sw_doc_for before = out->reader;
    out->reader = SW_DOC_FOR_PAGES;
    for (size_t i = 0; i < ways.n; i++) {
        char lead[4] = {(char)('a' + i), ' ', '\0'};
        sw_doc_say(out, 0, lead,
                   "%c: %s. With %c where it is, set the place named so that %c reads "
                   "what the table says.",
                   ways.is_x[i] ? 'X' : 'Z', ways.at[i], ways.is_x[i] ? 'X' : 'Z',
                   ways.is_x[i] ? 'X' : 'Z');
    }
    out->reader = before;
    return true;
}

void sw_sheet_zero_rows(struct sw_doc *out, const struct sw_sheet *sheet, size_t side)
{
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    struct sw_buf place = {0};
    if (record->stations.n)
        sw_sheet_offset_place(&place, sheet, record->stations.at);
    sw_doc_say(out, 2, "",
               "Each program begins with a row of its own: put its tool in, bring it to what is "
               "told there for Z and for X, and with the tool where it is set %s so that the "
               "control reads what is told. Then draw the slide out to about where it starts from: "
               "the first move of the program goes there in rapid.",
               sw_buf_text(&place));
    out->failed = out->failed || place.failed;
    sw_buf_done(&place);
}

/* A tool is told once: what it is, the point its numbers mean, the sense of the spindle. */
static void add_tool(struct sw_buf *out, const struct sw_sheet *sheet, size_t side,
                     const struct sw_tool *tool, int station)
{
    const struct sw_plan_chucking *first = &sheet->plan->chucking[0];
    if (!sw_sheet_is_first(sheet, side) && sw_sheet_cuts_in(first, 0, first->n_ops, station)) {
        sw_buf_add(out, ", as on side 1");
        return;
    }
    sw_buf_add(out, ": ");
    sw_sheet_tool_words(out, tool);
    sw_buf_add(out, "; its numbers mean the ");
    add_point(out, tool);
    sw_buf_printf(out, "; turns %s", turns(sheet, station));
}

/* Is Z found as for the program before? */
static bool is_same_z(bool *failed, const struct sw_sheet_zero *z, const struct sw_sheet *sheet,
                      size_t side, size_t index)
{
    if (index == 0)
        return false;
    struct sw_buf start = {0};
    struct sw_sheet_zero before = {0};
    const struct sw_sheet_file file = sw_sheet_file(sheet, side, index - 1);
    const int number = sw_sheet_start_place(&start, sheet, side, &file);
    const struct sw_setup_station *station =
        sw_sheet_station(sw_sheet_setup_side(sheet, side), number);
    if (station)
        sw_sheet_zero_z(&before, sheet, side, file.first, station);
    const bool is_same = station && strcmp(sw_buf_text(&before.way), sw_buf_text(&z->way)) == 0;
    *failed = *failed || start.failed || before.way.failed;
    sw_buf_done(&start);
    sw_buf_done(&before.way);
    sw_buf_done(&before.place);
    sw_buf_done(&before.typed);
    return is_same;
}

void sw_sheet_zero_row(struct sw_doc *out, struct sw_doc_table *order, const struct sw_sheet *sheet,
                       size_t side, size_t index)
{
    struct sw_buf what = {0}, start = {0}, spindle = {0};
    const struct sw_sheet_file file = sw_sheet_file(sheet, side, index);
    const int number = sw_sheet_start_place(&start, sheet, side, &file);
    const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
    const struct sw_setup_station *station =
        sw_sheet_station(sw_sheet_setup_side(sheet, side), number);
    if (tool && station) {
        struct sw_sheet_zero z, x;
        sw_sheet_zero_z(&z, sheet, side, file.first, station);
        sw_sheet_zero_x(&x, sheet, side, file.first, station);
        sw_buf_printf(&what, "PROGRAM %s with T%d, %s", file.program->file, number,
                      tool->name.value);
        add_tool(&what, sheet, side, tool, number);
        sw_buf_printf(&what, "; starts from about %s.\n", sw_buf_text(&start));
        sw_buf_printf(&what, "Z: %s. Z reads %s.   Z set to ____________\n",
                      is_same_z(&out->failed, &z, sheet, side, index) ? "as before"
                                                                      : sw_buf_text(&z.way),
                      sw_buf_text(&z.typed));
        sw_buf_printf(&what, "X: %s. X reads %s.   D = ____________   X set to ____________",
                      sw_buf_text(&x.way), sw_buf_text(&x.typed));
        if (sw_sheet_by_hand(&spindle, sheet, side, index))
            sw_buf_printf(&what, "\n%s", sw_buf_text(&spindle));
        sw_doc_cell(out, order, "%s", "");
        sw_doc_cell(out, order, "%s", sw_buf_text(&what));
        for (size_t k = 2; order && k < order->n_columns; k++)
            sw_doc_cell(out, order, NULL);
        sw_sheet_zero_done(out, &z);
        sw_sheet_zero_done(out, &x);
    }
    out->failed = out->failed || what.failed || start.failed || spindle.failed;
    sw_buf_done(&what);
    sw_buf_done(&start);
    sw_buf_done(&spindle);
}
