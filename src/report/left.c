/* What a chucking leaves, as a table of diameters. */
#include "report/tables.h"

#include "report/text.h"

void sw_report_left(struct sw_buf *out, const struct sw_verdict *verdict)
{
    enum { Z_ENDS = 12, DIAMETER_ENDS = 24 };
    if (verdict->outline.n == 0)
        return;
    sw_buf_add(out, "left over, from the free end to the holder, straight from row to row within 2 um:\n"
                    "           z    diameter\n");
    for (size_t i = 0; i < verdict->outline.n; i++) {
        struct sw_buf figure = {0};
        sw_text_number(&figure, verdict->outline.at[i].z, 3);
        sw_buf_printf(out, "%*s", (int)Z_ENDS, sw_buf_text(&figure));
        sw_buf_done(&figure);
        sw_text_number(&figure, 2 * verdict->outline.at[i].r, 3);
        sw_buf_printf(out, "%*s\n", DIAMETER_ENDS - Z_ENDS, sw_buf_text(&figure));
        out->failed = out->failed || figure.failed;
        sw_buf_done(&figure);
    }
}
