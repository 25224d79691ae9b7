/* From the finished staff to a running balance. Sizes come from the staff; what is done and in
 * which order comes from E. E. Hall, A Treatise on Staff Making and Pivoting, 1910 (ch. VII), W. J.
 * Kleinlein, Rules and Practice for Adjusting Watches, 1920 (sec. 25, 46 to 53, 80, 81), H. G.
 * Abbott, The American Watchmaker and Jeweler, 1892, and War Department TM 9-1575, 1945; the rest
 * is common practice without source and says so. */
#include <math.h>

#include "fit/laws.h"
#include "report/sheet_int.h"
#include "report/text.h"

static const char box[] = "  [ ] ";

static const struct sw_section *tip_of(const struct sw_staff *staff, int tip)
{
    return &staff->section[tip == 0 ? 0 : staff->n - 1];
}

static void before(struct sw_doc *out, const struct sw_staff *staff)
{
    sw_doc_say(out, 0, box,
               "Before the old staff leaves its balance: note how the rim runs, flat and round; "
               "draw how arms, roller jewel and the spring's pinning point stand to each other; "
               "gauge of it what is whole (heights from the lower tip, seats%s). `size` lists the "
               "readings that are lost with it.",
               sw_staff_fixing(staff) == SW_FIX_RIVETED ? ", hub, rivet" : "");
    if (sw_staff_fixing(staff) == SW_FIX_FRICTION)
        sw_doc_say(out, 0, box,
                   "Two-piece staff: its hub stays in the balance. Press the old staff out of it "
                   "with flat punches (TM 9-1575), the hub on the stake; never pull by the arm.");
    else
        sw_doc_say(out, 0, box,
                   "Cut the old staff out in the lathe: turn away the hub, or the rivet's lip, "
                   "until the balance drops off. Never punch it through the arm: that bends the "
                   "arm and widens its hole (Hall 1910, ch. VII).");
}

static void add_hole(struct sw_buf *out, double owned, const struct sw_hole *hole)
{
    if (owned > 0) {
        sw_buf_add(out, "hole ");
        sw_text_gauge(out, owned);
        sw_buf_add(out, " (");
    }
    sw_sheet_hole_words(out, hole);
    sw_buf_add(out, owned > 0 ? " does)" : ", which the shop lacks");
}

static void stake(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const struct sw_sheet_staking tools = sw_sheet_staking(sheet);
    const char *through = tools.is.points_down ? "upper" : "lower";
    const char *over = tools.is.points_down ? "lower" : "upper";
    struct sw_buf hole = {0}, punch = {0}, flat = {0};
    add_hole(&hole, tools.stake, &tools.is.stake);
    add_hole(&punch, tools.rounded, &tools.is.punch);
    add_hole(&flat, tools.flat, &tools.is.punch);
    switch (tools.is.fixing) {
    case SW_FIX_RIVETED:
        sw_doc_say(out, 0, box,
                   "Stake: %s, %.1f deep. The %s end goes through, the hub stands flat on it, the "
                   "balance lies on the hub's face: on with a light push, without shake.",
                   sw_buf_text(&hole), sw_text_round(tools.is.stake.depth, 1), through);
        sw_doc_say(out, 0, box,
                   "Open the rivet with the rounded hollow punch over the %s end: %s, %.1f deep. "
                   "Many light taps, the balance turned a little after each; then lay it down "
                   "with a flat one: %s (TM 9-1575). The face must be flush, or the collet does "
                   "not sit down (common practice). The arm must not turn on the staff.",
                   over, sw_buf_text(&punch), sw_text_round(tools.is.punch.depth, 1),
                   sw_buf_text(&flat));
        break;
    case SW_FIX_DRIVEN:
        sw_doc_say(out, 0, box,
                   "Stake: %s, %.1f deep, the hub on it. Drive the balance home on its seat with a "
                   "flat hollow punch over the %s end: %s; straight, by light taps, no rivet (Hall "
                   "1910, ch. VII).",
                   sw_buf_text(&hole), sw_text_round(tools.is.stake.depth, 1), over,
                   sw_buf_text(&flat));
        break;
    case SW_FIX_FRICTION:
        sw_doc_say(out, 0, box,
                   "Stake: %s, %.1f deep, the balance's hub on it. Roller first on its seat; then "
                   "press the staff in, %s end ahead, with a flat hollow punch over the %s end: "
                   "%s, until the roller meets the hub (TM 9-1575). It bears on the shoulder "
                   "behind the slope, never on cone or pivot. The %s is %.4f over: too tight, "
                   "stone it; loose, begin a new piece.",
                   sw_buf_text(&hole), sw_text_round(tools.is.stake.depth, 1), through, over,
                   sw_buf_text(&flat), staff->section[staff->core].name,
                   sw_text_round((staff->section[staff->core].diameter_tolerance.upper +
                                  staff->section[staff->core].diameter_tolerance.lower) /
                                     2,
                                 4));
        break;
    }
    out->failed = out->failed || hole.failed || punch.failed || flat.failed;
    sw_buf_done(&hole);
    sw_buf_done(&punch);
    sw_buf_done(&flat);
}

static void roller(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_section *seat = sw_staff_seat(sheet->plan->shape->staff, SW_TAKES_ROLLER);
    const struct sw_sheet_staking tools = sw_sheet_staking(sheet);
    if (!seat)
        return;
    struct sw_buf hole = {0};
    add_hole(&hole, tools.roller, &tools.is.roller);
    sw_doc_say(out, 0, box,
               "Roller: by hand it slides about %.2f of the seat's %.2f; turn its jewel to the "
               "place drawn, then press it home against its shoulder with a flat hollow punch: "
               "%s. It must neither turn nor stand askew; roller jewel upright, safety roller "
               "clear.   by hand ________",
               sw_text_round(0.75 * (seat->z1 - seat->z0), 2),
               sw_text_round(seat->z1 - seat->z0, 2), sw_buf_text(&hole));
    out->failed = out->failed || hole.failed;
    sw_buf_done(&hole);
}

/* Straight part of a pivot that may roll on the parallels. */
static double straight(const struct sw_section *pivot)
{
    return pivot->z1 - pivot->z0 -
           (pivot->tip == SW_TIP_FLAT ? pivot->tip_corner : pivot->dome_height);
}

static void true_and_poise(struct sw_doc *out, const struct sw_staff *staff)
{
    sw_doc_say(out, 0, box,
               "True in callipers: the arms flat first, then the rim flat, then round; a pivot "
               "that wobbles while the arm runs flat is bent (Kleinlein 1920, sec. 80). As noted "
               "before ________, now ________.");
    const struct sw_section *upper = tip_of(staff, 0), *lower = tip_of(staff, 1);
    if (upper->kind != SW_SECTION_PIVOT || lower->kind != SW_SECTION_PIVOT)
        return;
    sw_doc_say(out, 0, box,
               "Poise on level parallels thinner than %.2f at the upper and %.2f at the lower "
               "pivot: only its straight part may roll on them, never the cone (Abbott 1892). A "
               "good one stops anywhere, ordinary work at each of four quarters; a heavy point "
               "that jumps to the opposite side is a bent or oval pivot, not a heavy rim "
               "(Kleinlein 1920, sec. 81). With roller, without spring.",
               sw_text_round(straight(upper), 2), sw_text_round(straight(lower), 2));
}

static void spring(struct sw_doc *out, const struct sw_staff *staff)
{
    const struct sw_section *seat = sw_staff_seat(staff, SW_TAKES_COLLET);
    if (!seat)
        return;
    sw_doc_say(out, 0, box,
               "Collet: turn it down its seat of %.3f until it sits flush on the face below, the "
               "slit where it was drawn; the spring then lies flat, round and level with stud and "
               "regulator pins, clear of cock and arms (common practice).",
               sw_text_round(2 * fmax(seat->r0, seat->r1), 3));
}

static void lean(struct sw_doc *out, const struct sw_sheet *sheet)
{
    static const double degree = 3.14159265358979323846 / 180;
    const struct sw_staff *staff = sheet->plan->shape->staff;
    struct sw_buf words = {0};
    for (int tip = 0; tip < 2; tip++) {
        const struct sw_section *pivot = tip_of(staff, tip);
        const struct sw_jewel *jewel = &staff->jewel[tip];
        if (!jewel->given || pivot->kind != SW_SECTION_PIVOT)
            continue;
        const double d = sheet->plan->shape->section[pivot->index].finished_diameter;
        sw_buf_printf(&words, "%s%s ", words.n ? ", " : "", tip == 0 ? "upper" : "lower");
        sw_text_number(&words, sw_lean(jewel->hole, d, jewel->thickness) / degree, 1);
        sw_buf_add(&words, " degrees");
    }
    if (words.n)
        sw_doc_say(out, 0, box,
                   "Stand each pivot alone in its jewel: the staff leans about so far to each "
                   "side: %s (derived from hole, thickness and pivot). Much less: too close; much "
                   "more: too loose.",
                   sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void shakes(struct sw_doc *out, const struct sw_staff *staff)
{
    sw_doc_say(out, 0, box,
               "End shake %.3f to %.3f both ways, lifted by tweezers and watched against the "
               "endstones (Kleinlein 1920, sec. 25).   dial up ________   dial down ________",
               SW_LEAST_END_SHAKE, SW_MOST_END_SHAKE);
    if (staff->between_endstones > 0)
        sw_doc_say(out, 6, "", "Endstones %.3f apart, staff %.3f: %.3f is to be expected.",
                   sw_text_round(staff->between_endstones, 3), sw_text_round(staff->total, 3),
                   sw_text_round(staff->between_endstones - staff->total, 3));
    sw_doc_say(out, 6, "",
               "Too little: shorten the tip that was left long, by hundredths, both ends bright "
               "again. Too much: a staff is not made longer; begin anew, or set an endstone "
               "nearer. Never bend the cock.");
}

void sw_sheet_after(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    sw_doc_headline(out, "To a running balance");
    before(out, staff);
    stake(out, sheet);
    if (sw_staff_fixing(staff) != SW_FIX_FRICTION)
        roller(out, sheet);
    true_and_poise(out, staff);
    lean(out, sheet);
    shakes(out, staff);
    sw_doc_say(out, 0, box,
               "Freedom in all positions, without spring: dial up, dial down and four times on "
               "edge the balance swings long and stops without a jerk; rim clear of bridge, cock, "
               "plate and centre wheel, roller clear of fork and plate, guard pin short of the "
               "roller, jewel free in the fork's slot (Hall 1910, ch. VII). A drag in one position "
               "only: a tip, a cone on its jewel, or something that touches.");
    spring(out, staff);
    sw_doc_say(out, 0, box,
               "Beat: with the train blocked or run down the roller jewel stands on the line of "
               "centres and the lever between its banks; turn the collet on its seat, never the "
               "roller, until both sides give way alike (common practice, no source).");
    sw_doc_say(out, 0, box,
               "Run it a day each dial up and dial down: seconds a day apart tell the tips apart; "
               "within about 6 is good work (common practice, no source). The shorter swing has "
               "the flatter, rougher or burred tip (Kleinlein 1920, sec. 47, 48).   dial up "
               "________   dial down ________");
}
