#include "shop/read_int.h"
#include "shop/shop.h"

static const char *const state_words[] = {"annealed", "tempered", "hardened", NULL};

/* clang-format off */
#define MATERIAL(member) .offset = offsetof(struct sw_material, member)
#define STRESS .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_STRESS

static const struct sw_field material_fields[] = {
    {.key = "name", .kind = SW_FIELD_TEXT, MATERIAL(name), SW_NAME_RANGE, .is_required = true,
     .sentence = "What the trade calls the material."},
    {.key = "says", .kind = SW_FIELD_TEXT, MATERIAL(says), .is_required = true,
     .sentence = "One line about it for lists."},
    {.key = "state", .kind = SW_FIELD_WORD, MATERIAL(state), .is_required = true,
     .words = state_words,
     .sentence = "The state it is turned in; forces and limits belong to this state only."},
    {.key = "elastic_modulus", STRESS, MATERIAL(elastic_modulus), .is_required = true,
     .least = 1000, .most = 1000000, .sentence = "Modulus of elasticity."},
    {.key = "poisson", .kind = SW_FIELD_NUMBER, MATERIAL(poisson), .least = 0, .most = 0.5,
     .fallback = "0.3", .sentence = "Contraction across, as a share of the strain along."},
    {.key = "density", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_DENSITY, MATERIAL(density),
     .is_required = true, .least = 0.5, .most = 25, .sentence = "Density; the mass of the staff "
                                                                "follows from it."},
    {.key = "yield", STRESS, MATERIAL(yield), .is_required = true, .least = 10, .most = 5000,
     .sentence = "Stress at which it begins to bend for good."},
    {.key = "tensile", STRESS, MATERIAL(tensile), .is_required = true, .least = 10, .most = 5000,
     .sentence = "Stress at which it tears."},
    {.key = "specific_force", STRESS, MATERIAL(specific_force), .is_required = true, .least = 50,
     .most = 20000,
     .sentence = "Cutting force on a chip 1 mm wide and 1 mm thick (kc1.1), for this state."},
    {.key = "force_exponent", .kind = SW_FIELD_NUMBER, MATERIAL(force_exponent),
     .is_required = true, .least = 0, .most = 0.6,
     .sentence = "How the specific force grows as chips get thinner (the exponent m)."},
    {.key = "least_chip", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_RATIO,
     MATERIAL(least_chip), .least = 0.01, .most = 2, .fallback = "0.3",
     .sentence = "Thinnest chip that still comes off, as a share of the rounding of the edge."},
    {.key = "surface_speed", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_SURFACE,
     MATERIAL(surface_speed), .is_required = true, .least = 0.5, .most = 1000,
     .sentence = "Most surface speed with carbide."},
    {.key = "has_lead", .kind = SW_FIELD_TRUTH, MATERIAL(has_lead), .fallback = "no",
     .sentence = "Whether it holds lead: the sheet then says how to handle dust and mist."},
};
const struct sw_table sw_material_table = {
    "material/1", "A material in the state in which it is turned.", sizeof(struct sw_material),
    material_fields, sizeof material_fields / sizeof *material_fields};

/* clang-format on */

enum sw_status sw_material_load(struct sw_material **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_sense sense = {ctx, false};
    void *thing = NULL;
    SW_TRY(sw_shop_read_root(&thing, &sw_material_table, path, &sense));
    struct sw_material *material = thing;
    if (sw_shop_is_written(&material->yield) && sw_shop_is_written(&material->tensile) &&
        material->yield.value > material->tensile.value)
        SW_FAULT(&sense, "material.yield", material->yield.at, NULL,
                 "`yield` is %g MPa, more than `tensile`, %g MPa", material->yield.value,
                 material->tensile.value);
    SW_TRY(sw_shop_finish(&sense));
    *out = material;
    return SW_OK;
}
