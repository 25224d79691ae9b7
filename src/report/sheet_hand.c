/* Stone and burnish: after both sides are turned, because the holder of side 2 grips the first
 * side as turned. The end cut last is worked first, still in that holder; then the piece is turned
 * round once more. Stout seats come before pivots, the tip last. */
#include <math.h>

#include "report/sheet_int.h"
#include "report/text.h"

static const char *const end_name[] = {"upper", "lower"};

/* On which end a section is worked: the land is reached with the end cut first. */
static bool is_worked_with(const struct sw_sheet *sheet, size_t section, enum sw_side end)
{
    const struct sw_plan *plan = sheet->plan;
    const bool is_first = end == plan->chucking[0].end;
    if (section == plan->land)
        return is_first;
    return (section < plan->land) == (end == SW_SIDE_UPPER);
}

/* What is held by its END while the other one is worked: the seat or cylinder there that lies
 * nearest to the land. */
static const struct sw_section *third_grip(const struct sw_sheet *sheet, enum sw_side end)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const bool is_lower = end == SW_SIDE_LOWER;
    for (size_t k = 1; k < staff->n; k++) {
        const size_t i = is_lower ? sheet->plan->land + k : sheet->plan->land - k;
        if (i >= staff->n)
            return NULL;
        const enum sw_section_kind kind = staff->section[i].kind;
        if (kind == SW_SECTION_SEAT || kind == SW_SECTION_CYLINDER)
            return &staff->section[i];
    }
    return NULL;
}

/* Soft holders spare a finished surface. */
static const struct sw_holder *soft_holder(const struct sw_shop *shop, double diameter,
                                           double length)
{
    const struct sw_holder *best = NULL;
    for (size_t i = 0; i < shop->n_holders; i++) {
        const struct sw_holder *it = shop->holders[i];
        const bool is_soft =
            it->kind.value == SW_HOLDER_BORED_IN_PLACE || it->kind.value == SW_HOLDER_CEMENT;
        if (is_soft && sw_holder_size_for(it, diameter) > 0 && length >= it->least_grip.value &&
            (!best || it->runout.value < best->runout.value))
            best = it;
    }
    return best;
}

static void cone_line(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_shape_section *size = &sheet->plan->shape->section[i];
    const double off = sw_sheet_turned(sheet, i);
    sw_doc_say(out, 0, "  [ ] ",
               "Burnish the %s, most beside the pivot and nothing at its ridge: half way from "
               "%.4f to %.4f, %.4f off the diameter.   after: ________",
               sheet->plan->shape->staff->section[i].name, sw_text_round(off, 4),
               sw_text_round(size->finished_diameter, 4),
               sw_text_round(off - size->finished_diameter, 4));
}

enum turn { SEATS, CONES, PIVOTS, N_TURNS };

static enum turn turn_of(const struct sw_section *section)
{
    return section->kind == SW_SECTION_PIVOT  ? PIVOTS
           : section->kind == SW_SECTION_CONE ? CONES
                                              : SEATS;
}

static bool takes_hand_work(const struct sw_sheet *sheet, size_t i)
{
    const struct sw_section *section = &sheet->plan->shape->staff->section[i];
    return sw_text_round(sheet->plan->shape->section[i].take, 4) > 0 &&
           (section->finish != SW_FINISH_TURNED || section->kind == SW_SECTION_CONE);
}

static bool has_work(const struct sw_sheet *sheet, enum sw_side end)
{
    for (size_t i = 0; i < sheet->plan->shape->staff->n; i++)
        if (is_worked_with(sheet, i, end) && takes_hand_work(sheet, i))
            return true;
    return sw_text_round(sw_sheet_tip_stands(sheet, end == SW_SIDE_UPPER ? 0 : 1), 4) > 0;
}

/* The lower tip is the foot of all heights; the upper one then makes the total. */
static void tip_line(struct sw_doc *out, const struct sw_sheet *sheet, enum sw_side end,
                     bool is_last)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const int tip = end == SW_SIDE_UPPER ? 0 : 1;
    const double stands = sw_sheet_tip_stands(sheet, tip);
    if (sw_text_round(stands, 4) <= 0)
        return;
    const double total = staff->total + (is_last ? 0 : sw_sheet_tip_stands(sheet, !tip));
    const double off = total + stands;
    struct sw_buf words = {0};
    sw_buf_printf(&words, "Bring the %s tip to length and form: it stands ", end_name[tip]);
    sw_text_number(&words, stands, 4);
    sw_buf_add(&words, " long; the whole goes from ");
    sw_text_number(&words, off, 3);
    sw_buf_add(&words, " to ");
    sw_text_number(&words, total, 3);
    for (size_t i = 0; tip == 1 && i < staff->n_heights; i++) {
        sw_buf_printf(&words, "%s the %s to ", i ? "," : ", by which come", staff->height[i].name);
        sw_text_number(&words, staff->height[i].from_lower_tip, 3);
    }
    const bool is_nib =
        sheet->setup->tip_by_hand.value == (tip == 0 ? SW_SETUP_UPPER_TIP : SW_SETUP_LOWER_TIP);
    if (is_nib) {
        sw_buf_add(&words, "; before that grind off what stands of the neck, up to ");
        sw_text_number(&words,
                       sheet->verdict->length_most_mm - staff->total - stands -
                           sw_sheet_tip_stands(sheet, !tip),
                       2);
        sw_buf_add(&words, " beyond its face");
    }
    const double left_long = stands - sheet->setup->tip.value;
    if (sw_text_round(left_long, 4) > 0) {
        sw_buf_add(&words, "; the last ");
        sw_text_number(&words, left_long, 4);
        sw_buf_add(&words, " by trial in the movement");
    }
    sw_doc_say(out, 0, "  [ ] ", "%s.   after: ________", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void work_of_end(struct sw_doc *out, const struct sw_sheet *sheet, enum sw_side end,
                        bool is_last)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    for (int turn = 0; turn < N_TURNS; turn++)
        for (size_t i = 0; i < staff->n && i < sheet->verdict->n_sections; i++) {
            const struct sw_section *section = &staff->section[i];
            if ((int)turn_of(section) != turn || !is_worked_with(sheet, i, end) ||
                !takes_hand_work(sheet, i))
                continue;
            if (section->kind == SW_SECTION_CONE && section->finish == SW_FINISH_TURNED)
                cone_line(out, sheet, i);
            else
                sw_sheet_step(out, sheet, i);
        }
    tip_line(out, sheet, end, is_last);
}

static void hold_once_more(struct sw_doc *out, const struct sw_sheet *sheet, enum sw_side end)
{
    const struct sw_shape *shape = sheet->plan->shape;
    const struct sw_section *grip = third_grip(sheet, end);
    if (!grip) {
        sw_doc_say(out, 2, "",
                   "Turn the piece round once more. No seat of the other end can be held: drive "
                   "it in a pivot tool by a carrier on the %s.",
                   shape->staff->section[sheet->plan->land].name);
        return;
    }
    const double diameter = shape->section[grip->index].finished_diameter;
    const double length = grip->z1 - grip->z0;
    const struct sw_holder *holder = soft_holder(sheet->plan->shop, diameter, length);
    struct sw_buf words = {0};
    const bool is_free = sheet->plan->n_chuckings == 1 && end == sheet->plan->chucking[0].end;
    sw_buf_printf(&words, "%s the %s, diameter ",
                  is_free ? "Hold the piece by" : "Turn the piece round once more and hold it by",
                  grip->name);
    sw_text_size(&words, diameter);
    sw_buf_add(&words, " over ");
    sw_text_number(&words, holder ? fmin(length, holder->most_grip.value) : length, 2);
    sw_buf_printf(&words, ", in %s", holder ? holder->name.value : "a soft holder");
    sw_doc_say(out, 2, "",
               "%s, bored to a close sliding fit: a light grip, the finished end free inside.",
               sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void burnisher_line(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_shop_bench *bench = &sheet->plan->shop->bench;
    const struct sw_burnisher *square = sw_bench_burnisher(bench, SW_BURNISHER_SQUARE);
    const struct sw_burnisher *rounded = sw_bench_burnisher(bench, SW_BURNISHER_ROUNDED);
    sw_doc_say(out, 2, "",
               "Pivots with the %s, cones with the %s; dress its grain across its length, oil it, "
               "keep it level: pressure that changes makes a pivot oval (Hall 1910, ch. II).",
               square ? square->name.value : "square edge of a burnisher",
               rounded ? rounded->name.value : "rounded edge of one");
}

void sw_sheet_hand_work(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_plan *plan = sheet->plan;
    const struct sw_plan_chucking *second = &plan->chucking[plan->n_chuckings - 1];
    const enum sw_side first_end = plan->chucking[0].end;
    sw_doc_headline(out, "Stone and burnish");
    if (!has_work(sheet, second->end) && !has_work(sheet, first_end)) {
        sw_doc_say(out, 2, "", "Nothing is left for hand work.");
        return;
    }
    sw_doc_say(out, 2, "",
               "Programs ended, tools parked far away, spindle slow, tool rest of your own close "
               "to the work. Gauge often; the last hundredth goes fast. A pivot is burnished lying "
               "in a bed on that rest, or in a pivot tool, never hanging free; the bed is below "
               "the finished size, so that the pivot stands proud to the end (common practice, "
               "no source).");
    burnisher_line(out, sheet);
    sw_sheet_hand_rules(out);
    const bool is_one = plan->n_chuckings == 1; /* nothing holds the piece any more */
    const enum sw_side last_end = !is_one                      ? second->end
                                  : first_end == SW_SIDE_UPPER ? SW_SIDE_LOWER
                                                               : SW_SIDE_UPPER;
    sw_doc_sub(out,
               is_one ? "First the %s end"
                      : "First the %s end, in the holder of side 2, before it is opened",
               end_name[last_end == SW_SIDE_UPPER ? 0 : 1]);
    if (is_one)
        hold_once_more(out, sheet, first_end);
    work_of_end(out, sheet, last_end, false);
    sw_doc_sub(out, "Then the %s end", end_name[first_end == SW_SIDE_UPPER ? 0 : 1]);
    const struct sw_section *grip = sw_staff_section(plan->shape->staff, second->grips);
    if (!is_one && grip && takes_hand_work(sheet, grip->index))
        sw_doc_say(out, 2, "",
                   "Side 2 holds the %s as turned: stoned before, it would no longer fit its "
                   "holder.",
                   grip->name);
    hold_once_more(out, sheet, last_end);
    work_of_end(out, sheet, first_end, true);
}
