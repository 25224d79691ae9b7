/* A number within the range of its field, or words about what is possible. */
#include <math.h>

#include "spec/inside.h"

/* A bare number is in mm; people who think in smaller units forget it. "" when no unit would do, or
 * the number is only a little too large. */
static const char *unit_forgotten(const struct sw_spec_value *value, const struct sw_field *field,
                                  const struct sw_node *node, struct sw_ctx *ctx)
{
    static const struct {
        const char *name;
        double in_mm;
    } smaller[] = {{"um", 0.001}, {"hundredths", 0.01}};
    if (field->quantity != SW_QUANTITY_LENGTH || value->has_unit || value->shown < 2 * field->most)
        return "";
    for (size_t i = 0; i < sizeof smaller / sizeof *smaller; i++) {
        const double meant = value->shown * smaller[i].in_mm;
        if (meant >= field->least && meant <= field->most)
            return sw_arena_printf(
                ctx->arena, "a number without a unit is in mm; write `%s %s` if that is meant",
                node->text, smaller[i].name);
    }
    return "";
}

enum sw_status sw_spec_check_range(const struct sw_spec_value *value, const struct sw_field *field,
                                   const char *what, const struct sw_node *node, struct sw_ctx *ctx)
{
    if (!sw_spec_has_range(field) || (value->shown >= field->least && value->shown <= field->most))
        return SW_OK;
    const char *unit = sw_quantity_unit(field->quantity);
    struct sw_buf text = {0};
    sw_buf_printf(&text, "%s is ", what);
    if (value->has_unit)
        sw_buf_printf(&text, "%s = ", node->text);
    sw_spec_add_number(&text, value->shown);
    sw_buf_printf(&text, "%s%s; allowed: ", unit[0] ? " " : "", unit);
    sw_spec_add_range(&text, field->least, field->most, unit);
    const char *message = sw_spec_keep(&text, ctx);
    const char *hint = unit_forgotten(value, field, node, ctx);
    if (!message || !hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.range", node->at, hint[0] ? hint : NULL, "%s", message);
    return SW_OK;
}
