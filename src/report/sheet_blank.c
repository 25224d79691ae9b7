/* Staffs turned soft and hardened: what is said of the blank before the fire, and when it comes
 * back. */
#include <math.h>

#include "report/sheet_int.h"
#include "report/text.h"

bool sw_sheet_is_blank(const struct sw_sheet *sheet)
{
    return sheet->plan->shape->staff->is_blank;
}

bool sw_sheet_is_hardened(const struct sw_sheet *sheet)
{
    return sheet->plan->blank != NULL;
}

const char *sw_sheet_work_word(const struct sw_sheet *sheet)
{
    return sw_sheet_is_hardened(sheet) ? "blank" : "rod";
}

void sw_sheet_heat_cautions(struct sw_doc *out)
{
    sw_doc_say(
        out, 0, "  - ",
        "Hardening and tempering are done away from the machine, by the steel maker's data sheet "
        "and the local rules for heat, fire and fumes: eye and hand protection, good ventilation, "
        "a lid and an extinguisher fit for burning oil at hand, no water near hot oil.");
}

/* How much larger it is expected to be, in per cent. */
static void growth_line(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_job_growth growth = sw_job_growth(sheet->plan->job);
    sw_doc_say(
        out, 2, "",
        "This blank is smaller than what it is to be by %.3f %%, the middle of the growth of "
        "%.3f to %.3f %% that the job expects. Those figures belong to one steel, one lot of "
        "rod and one way of hardening: measure them, before and after, on a blank that may be "
        "lost, and whenever one of these changes.",
        sw_text_round(100 * sw_job_growth_middle(sheet->plan->job), 3),
        sw_text_round(100 * growth.least, 3), sw_text_round(100 * growth.most, 3));
}

void sw_sheet_hardening(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_staff *becomes = sheet->becomes;
    sw_doc_headline(out, "Hardening and tempering");
    growth_line(out, sheet);
    sw_doc_say(
        out, 2, "",
        "Nothing is stoned, burnished or tried on now: that comes after the finish. What the "
        "table of sizes has for the seats is what they are turned to soft.");
    sw_doc_say(
        out, 2, "[ ] ",
        "Gauge it as told under \"Measured\" and keep the figures with the blank: what it grew "
        "is told from them.");
    sw_doc_say(
        out, 2, "[ ] ",
        "Take all oil off. Keep air from it while it is hot (scale takes more off a seat than "
        "growth puts on), and quench it end first and straight down: a slender piece laid in "
        "warps (common practice, no source).");
    sw_doc_say(
        out, 2, "[ ] ",
        "Harden and temper by the data sheet of the steel. Before tempering a fine file must "
        "skate over both ends; temper at once, the whole piece alike (common practice, no "
        "source).");
    if (becomes)
        sw_doc_say(
            out, 2, "[ ] ",
            "It is finished as %s: the temper has to be that of this material, or the figures "
            "that the finish was planned and judged by do not hold.   colour or hardness "
            "________",
            becomes->material);
    sw_doc_say(out, 2, "[ ] ",
               "Then make the programs of the finish: `staffwright make --hardened` with this job; "
               "their sheet begins with what the blank must measure.");
}

/* Of the allowance on the diameter; half of it is there to each side, and cuts need the rest. */
static const double straight_share = 0.25;

/* A diameter of the blank as it was turned, and as it has to be now. */
static void one_size(struct sw_doc *out, const struct sw_plan_blank *blank, size_t i)
{
    const struct sw_section *is = &blank->shape->staff->section[i];
    const double soft = blank->shape->section[i].turned_diameter;
    const double middle = sw_section_middle(is);
    const double low = soft + is->diameter_tolerance.lower - middle;
    const double high = soft + is->diameter_tolerance.upper - middle;
    sw_doc_say(
        out, 2, "[ ] ",
        "%s: turned to %.4f, now %.4f to %.4f as programmed; with what its turning may be off, "
        "%.4f to %.4f.   soft ________   now ________",
        is->name, sw_text_round(soft, 4), sw_text_round(soft * (1 + blank->how.grown_least), 4),
        sw_text_round(soft * (1 + blank->how.grown_most), 4),
        sw_text_round(low * (1 + blank->how.grown_least), 4),
        sw_text_round(high * (1 + blank->how.grown_most), 4));
}

void sw_sheet_comes_back(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_plan_blank *blank = sheet->plan->blank;
    const struct sw_staff *staff = blank->shape->staff;
    sw_doc_headline(out, "The blank comes back");
    sw_doc_say(
        out, 2, "",
        "These programs cut a blank that was hardened and tempered to %s. They were judged for "
        "one that has grown by %.3f to %.3f %%. Clean it of scale and salt, by fine wire wool and "
        "oil, no stone: what the seats are turned to now stays.",
        blank->material->name.value, sw_text_round(100 * blank->how.grown_least, 3),
        sw_text_round(100 * blank->how.grown_most, 3));
    for (size_t i = 0; i < staff->n; i++)
        if (sw_sheet_is_gauged(&staff->section[i]))
            one_size(out, blank, i);
    sw_doc_say(
        out, 2, "[ ] ",
        "Growth is what is now, divided by what was soft, less 1. Outside of the figures above cut "
        "nothing: this blank is none for this staff. Put the growth that was measured into "
        "the job and turn another by it.   growth ________ %%");
    sw_doc_say(
        out, 2, "[ ] ",
        "Straight: held by either side as below and turned by hand, its free end may run out "
        "by %.3f at most, to each side of the axis, or the finish does not clean it up.   upper "
        "________   lower ________",
        sw_text_round(straight_share * blank->how.allowance, 3));
}
