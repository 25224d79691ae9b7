/* A spindle that no word of a program switches: what is to be set, in which line each program waits
 * for it, and what is done there. The lines are those of the setup record, by which it was judged.
 */
#include "report/sheet_int.h"
#include "report/text.h"

bool sw_sheet_is_by_hand(const struct sw_sheet *sheet)
{
    return sheet->plan->shop->machine->control.spindle_words.value == 0;
}

/* "2500 rev/min in the sense of M3" */
static void add_turn(struct sw_buf *out, const struct sw_setup_switch *at)
{
    sw_text_number(out, at->speed.value, 0);
    sw_buf_printf(out, " rev/min in the sense of %s", at->turn.value == SW_SETUP_M4 ? "M4" : "M3");
}

static bool is_same_turn(const struct sw_setup_switch *a, const struct sw_setup_switch *b)
{
    return a->turn.value == b->turn.value && a->speed.value == b->speed.value;
}

/* "on in line 28", "off in line 64 to measure or try, on in line 69" */
static void add_lines(struct sw_buf *out, const struct sw_setup_program *program)
{
    const struct sw_setup_switch *at = program->spindle.at, *last = NULL;
    for (size_t i = 0; i < program->spindle.n; i++) {
        const bool is_on = at[i].turn.value != SW_SETUP_STOP;
        sw_buf_printf(out, "%s%s in line %.0f", i ? ", " : "", is_on ? "on" : "off",
                      at[i].line.value);
        if (is_on && last != NULL && !is_same_turn(last, &at[i])) {
            sw_buf_add(out, " at ");
            add_turn(out, &at[i]);
        }
        last = is_on ? &at[i] : last;
    }
}

void sw_sheet_by_hand_rules(struct sw_doc *out, const struct sw_sheet *sheet, size_t side)
{
    if (!sw_sheet_is_by_hand(sheet))
        return;
    sw_doc_say(out, 2, "",
               "Spindle by hand: start %s with the spindle stopped; it draws the tool away and "
               "waits (M0) each time the spindle is to be switched. Switch it as told, and do no "
               "more; let it come up to its speed, then press cycle start. The work has to run "
               "onto the face of the edge.",
               sheet->programs[side].n > 1 ? "each program" : "the program");
}

bool sw_sheet_by_hand(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t index)
{
    const struct sw_setup_side *is = sw_sheet_setup_side(sheet, side);
    const struct sw_setup_program *program = is->programs.at;
    if (!sw_sheet_is_by_hand(sheet) || index >= is->programs.n || program[index].spindle.n == 0)
        return false;
    sw_buf_add(out, "Spindle by hand: ");
    add_turn(out, program[index].spindle.at);
    sw_buf_add(out, "; ");
    add_lines(out, &program[index]);
    sw_buf_add(out, ", off at the end of the program.");
    return true;
}
