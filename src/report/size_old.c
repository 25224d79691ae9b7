/* What the old staff can still tell while it stands in its balance: once it is cut out, these are
 * gone. Sources: E. E. Hall, A Treatise on Staff Making and Pivoting, 1910, ch. III-V and VII, for
 * what is measured and that the arm is never hammered; the marks for the beat are common practice,
 * no source. */
#include <stdbool.h>

#include "report/size.h"
#include "report/text.h"

/* Readings that need the old staff in its balance. */
static bool needs_old_staff(enum sw_reading_kind kind)
{
    switch (kind) {
    case SW_READ_ARM_HEIGHT: /* the balance is held where it belongs by the staff it has */
    case SW_READ_RIM_ABOVE:
    case SW_READ_RIM_BELOW:
    case SW_READ_ROLLER_HEIGHT:
        return true;
    default:
        return sw_reading_is_old(kind);
    }
}

static bool is_read(const struct sw_survey *survey, enum sw_reading_kind kind)
{
    for (size_t i = 0; i < survey->parts.n; i++)
        if (survey->parts.reading[i].kind == kind)
            return true;
    return false;
}

void sw_report_old_staff(struct sw_buf *out, const struct sw_survey *survey)
{
    struct sw_buf words = {0};
    size_t n = 0;
    for (int kind = 0; kind < SW_N_READINGS; kind++)
        if (needs_old_staff((enum sw_reading_kind)kind) &&
            !is_read(survey, (enum sw_reading_kind)kind))
            sw_buf_printf(&words, "%s%s", n++ ? ", " : "", sw_reading_info[kind].key);
    sw_text_headline(out, "Before the old staff is cut out of its balance");
    if (n)
        sw_text_say(out, 0, "- ",
                    "Not read yet, and gone with it: %s. Read what of it is whole; `staffwright "
                    "explain` with a key says how.",
                    sw_buf_text(&words));
    sw_text_say(out, 0, "- ",
                "Spin the balance in callipers and note how far the rim runs out, flat and round: "
                "the new staff shall not be blamed for what was there.");
    sw_text_say(out, 0, "- ",
                "Draw how roller jewel, collet pinning point and arms stand to each other, and on "
                "which side of the arm the rivet is: the beat hangs on the angle.");
    sw_text_say(out, 0, "- ",
                "Draw off roller and collet, then gauge their bores and the balance's: the parts "
                "count, not the old seats (Hall 1910, ch. IV). Cut hub or rivet away in the "
                "lathe; never punch the staff through the arm (Hall 1910, ch. VII).");
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}
