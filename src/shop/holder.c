#include <math.h>

#include "geom/tol.h"
#include "shop/read_int.h"
#include "shop/shop.h"

static const char *const kind_words[] = {"collet", "step", "bored-in-place", "cement", NULL};

/* clang-format off */
#define HOLDER(member) .offset = offsetof(struct sw_holder, member)
#define LENGTH .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH

static const struct sw_field holder_fields[] = {
    {.key = "name", .kind = SW_FIELD_TEXT, HOLDER(name), SW_NAME_RANGE, .is_required = true,
     .sentence = "What the workshop calls the holder."},
    {.key = "kind", .kind = SW_FIELD_WORD, HOLDER(kind), .is_required = true, .words = kind_words,
     .sentence = "A collet, a step chuck, a soft holder bored in place to the measured seat, or a "
                 "cement chuck."},
    {.key = "sizes", .kind = SW_FIELD_NUMBERS, .quantity = SW_QUANTITY_LENGTH, HOLDER(sizes),
     .least = 0.02, .most = 200,
     .sentence = "Nominal bores the workshop has of a collet or step chuck, growing."},
    {.key = "under", LENGTH, HOLDER(under), .least = 0, .most = 1, .fallback = "0",
     .sentence = "How much less than its size a collet still grips along its whole bore."},
    {.key = "over", LENGTH, HOLDER(over), .least = 0, .most = 1, .fallback = "0",
     .sentence = "How much more than its size a collet takes without being forced."},
    {.key = "least", LENGTH, HOLDER(least), .least = 0.02, .most = 200,
     .sentence = "Smallest diameter that can be held in a bored or cement holder."},
    {.key = "most", LENGTH, HOLDER(most), .least = 0.02, .most = 200,
     .sentence = "Largest diameter that can be held in a bored or cement holder."},
    {.key = "runout", LENGTH, HOLDER(runout), .is_required = true, .least = 0, .most = 1,
     .sentence = "Total indicator reading on a true pin, close to the nose."},
    {.key = "least_grip", LENGTH, HOLDER(least_grip), .is_required = true, .least = 0.02,
     .most = 100, .sentence = "Shortest length of work that is still held safely."},
    {.key = "most_grip", LENGTH, HOLDER(most_grip), .is_required = true, .least = 0.02, .most = 500,
     .sentence = "Depth of the bore at its size: the longest length that is held."},
    {.key = "bore_behind", LENGTH, HOLDER(bore_behind), .is_required = true, .least = 0,
     .most = 200,
     .sentence = "Clear diameter behind the bore: what hangs inside must pass through it."},
    {.key = "nose_diameter", LENGTH, HOLDER(nose_diameter), .is_required = true, .least = 0.1,
     .most = 200, .sentence = "Diameter of the front face."},
    {.key = "nose_angle", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_ANGLE,
     HOLDER(nose_angle), .least = 0, .most = 89.9, .fallback = "0",
     .sentence = "Half-angle of the cone behind the front face, from the axis; 0 for a cylinder."},
    {.key = "nose_length", LENGTH, HOLDER(nose_length), .is_required = true, .least = 0.05,
     .most = 200, .sentence = "Length of that cone or cylinder, back to the spindle's own nose."},
    {.key = "compliance", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_COMPLIANCE,
     HOLDER(compliance), .least = 0, .most = 1000, .fallback = "0.05",
     .sentence = "How far the work moves across in its bore under a force at the nose face; an "
                 "estimate, no holder is rigid."},
    {.key = "tilt", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_TILT, HOLDER(tilt),
     .least = 0, .most = 100000, .fallback = "20",
     .sentence = "How far the work leans in its bore under a moment; an estimate, no holder is "
                 "rigid."},
    {.key = "closing_loses", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     HOLDER(closing_loses), .least = 0, .most = 5, .fallback = "0.05",
     .sentence = "How far behind the stop that it was pushed against the end of a bar may stand once the "
                 "holder is closed; 0.05 is an assumption, no source."},
    {.key = "draw_in", .kind = SW_FIELD_TRUTH, HOLDER(is_draw_in), .fallback = "no",
     .sentence = "Whether closing pulls the work back, so that Z is taken after closing."},
};
const struct sw_table sw_holder_table = {
    "holder/1", "A way of holding work in the spindle.", sizeof(struct sw_holder), holder_fields,
    sizeof holder_fields / sizeof *holder_fields};

/* clang-format on */

static bool is_by_size(const struct sw_holder *holder)
{
    return holder->kind.value == SW_HOLDER_COLLET || holder->kind.value == SW_HOLDER_STEP;
}

static void check_kind(struct sw_sense *sense, const struct sw_holder *holder)
{
    static const char *const texts[] = {"a collet", "a step chuck", "a holder bored in place",
                                        "a cement chuck"};
    const bool by_size = is_by_size(holder);
    const struct sw_shop_member members[] = {
        {"sizes", holder->sizes.given, holder->sizes.span, by_size, by_size},
        {"under", holder->under.given, holder->under.at, false, by_size},
        {"over", holder->over.given, holder->over.at, false, by_size},
        {"least", holder->least.given, holder->least.at, !by_size, !by_size},
        {"most", holder->most.given, holder->most.at, !by_size, !by_size},
    };
    sw_shop_check_members(sense, members, sizeof members / sizeof *members,
                          texts[holder->kind.value], holder->kind.at, "holder.needs",
                          "holder.foreign");
}

static void check_sizes(struct sw_sense *sense, const struct sw_holder *holder)
{
    if (holder->sizes.given && holder->sizes.n == 0)
        SW_FAULT(sense, "holder.sizes", holder->sizes.span, NULL, "`sizes` is empty");
    for (size_t i = 1; i < holder->sizes.n; i++) {
        const struct sw_number *size = sw_shop_number(&holder->sizes, i);
        if (sw_shop_is_written(size) && size->value <= size[-1].value)
            SW_FAULT(sense, "holder.sizes", size->at, "write them growing, each once",
                     "size %g mm comes after %g mm", size->value, size[-1].value);
    }
}

/* The front face must be wider than what is held in it. */
static void check_nose(struct sw_sense *sense, const struct sw_holder *holder)
{
    const struct sw_number *largest = &holder->most;
    if (holder->sizes.n > 0)
        largest = sw_shop_number(&holder->sizes, holder->sizes.n - 1);
    if (sw_shop_is_written(largest) && sw_shop_is_written(&holder->nose_diameter) &&
        largest->value >= holder->nose_diameter.value)
        SW_FAULT(sense, "holder.nose", holder->nose_diameter.at, NULL,
                 "a nose of %g mm has no room for a bore of %g mm", holder->nose_diameter.value,
                 largest->value);
}

enum sw_status sw_holder_load(struct sw_holder **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_sense sense = {ctx, false};
    void *thing = NULL;
    SW_TRY(sw_shop_read_root(&thing, &sw_holder_table, path, &sense));
    struct sw_holder *holder = thing;
    if (holder->kind.value >= 0)
        check_kind(&sense, holder);
    check_sizes(&sense, holder);
    check_nose(&sense, holder);
    if (sw_shop_is_written(&holder->least) && sw_shop_is_written(&holder->most) &&
        holder->least.value > holder->most.value)
        SW_FAULT(&sense, "holder.range", holder->least.at, NULL,
                 "`least` is %g mm, more than `most`, %g mm", holder->least.value,
                 holder->most.value);
    if (sw_shop_is_written(&holder->least_grip) && sw_shop_is_written(&holder->most_grip) &&
        holder->least_grip.value > holder->most_grip.value)
        SW_FAULT(&sense, "holder.grip", holder->least_grip.at, NULL,
                 "`least_grip` is %g mm, longer than the bore, `most_grip` %g mm",
                 holder->least_grip.value, holder->most_grip.value);
    SW_TRY(sw_shop_finish(&sense));
    *out = holder;
    return SW_OK;
}

double sw_holder_size_for(const struct sw_holder *holder, double diameter)
{
    if (!is_by_size(holder)) {
        const bool is_within = diameter >= holder->least.value - SW_TOL_POINT &&
                               diameter <= holder->most.value + SW_TOL_POINT;
        return is_within ? diameter : 0;
    }
    double best = 0;
    for (size_t i = 0; i < holder->sizes.n; i++) {
        const double size = sw_shop_number(&holder->sizes, i)->value;
        const bool is_taken = diameter >= size - holder->under.value - SW_TOL_POINT &&
                              diameter <= size + holder->over.value + SW_TOL_POINT;
        if (is_taken &&
            (best <= 0 || fabs(size - diameter) <= fabs(best - diameter) + SW_TOL_POINT))
            best = size;
    }
    return best;
}
