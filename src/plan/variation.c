#include "plan/variation.h"

#include <math.h>
#include <string.h>

#include "geom/tol.h"

/* How far a value may be taken, and in which steps [mm]. Edges and noses finer than this are not
 * ground and do not last; more than this is not left for burnisher and stone; blades are not made
 * narrower. Common practice, no source. */
static const double edge_step = 0.0005, edge_least = 0.001;
static const double nose_step = 0.0025, nose_least = 0.010;
static const double burnish_step = 0.002, burnish_most = 0.020;
static const double stone_step = 0.001, stone_most = 0.010;
static const double blade_step = 0.1, blade_least = 0.3;
/* The finish cut grows no thinner than the edge allows: the planner sees to that. */
static const double depth_step = 0.0005, depth_least = 0.001;

struct lister {
    struct sw_variations *out;
    const struct sw_plan_task *task;
    const struct sw_weak_spot *spot;
    struct sw_ctx *ctx;
};

static enum sw_status add(struct lister *l, struct sw_variation variation)
{
    return SW_VEC_PUSH(l->ctx->arena, l->out, variation) ? SW_OK : SW_MEMORY;
}

static enum sw_status add_stepped(struct lister *l, enum sw_vary kind, size_t tool, double now,
                                  double step, double most)
{
    struct sw_variation variation = {
        .kind = kind, .tool = tool, .now = now, .step = step, .most = most, .then = most};
    return sw_variation_steps(&variation) > 0 ? add(l, variation) : SW_OK;
}

size_t sw_variation_steps(const struct sw_variation *v)
{
    if (!(v->step > 0))
        return 0;
    /* Grid lines strictly beyond NOW, up to MOST. */
    const double from = v->now / v->step, to = v->most / v->step;
    const double n = v->most > v->now ? floor(to + SW_TOL_SLIVER) - floor(from + SW_TOL_SLIVER)
                                      : ceil(from - SW_TOL_SLIVER) - ceil(to - SW_TOL_SLIVER);
    return n > 0 ? (size_t)n : 0;
}

void sw_variation_take(struct sw_variation *v, size_t k)
{
    const double from = v->now / v->step;
    v->then = v->most > v->now ? (floor(from + SW_TOL_SLIVER) + (double)k) * v->step
                               : (ceil(from - SW_TOL_SLIVER) - (double)k) * v->step;
}

/* The last part of a path without its suffix: as a shop names it. */
static const char *stem(const char *path, struct sw_ctx *ctx)
{
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    return sw_arena_copy(ctx->arena, name, dot ? (size_t)(dot - name) : strlen(name));
}

static bool turns_inwards(const struct sw_tool *tool)
{
    return tool->kind.value == SW_TOOL_POINT && tool->hand.value != SW_HAND_LEFT;
}

static enum sw_status list_choices(struct lister *l)
{
    const struct sw_job *job = l->task->job;
    const struct sw_staff *staff = l->task->shape->staff;
    SW_TRY(add(l, (struct sw_variation){.kind = SW_VARY_ORDER}));
    SW_TRY(add(l, (struct sw_variation){.kind = SW_VARY_FIRST_SIDE}));
    for (size_t i = 0; l->spot->grip && i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        const bool is_plain = is->kind == SW_SECTION_SEAT || is->kind == SW_SECTION_CYLINDER;
        const struct sw_variation grip = {.kind = SW_VARY_GRIP, .name = is->name};
        if (is_plain && strcmp(is->name, l->spot->grip) != 0)
            SW_TRY(add(l, grip));
    }
    if (job->sizing_length.value > 0)
        SW_TRY(
            add(l, (struct sw_variation){.kind = SW_VARY_SIZING, .now = job->sizing_length.value}));
    return SW_OK;
}

static enum sw_status list_allowances(struct lister *l)
{
    const struct sw_section *is = &l->task->shape->staff->section[l->spot->section];
    const struct sw_leave *leave = &l->task->shop->leave;
    if (is->take >= 0)
        return SW_OK; /* the section says itself what is left on it */
    if (is->finish == SW_FINISH_BURNISHED || is->kind == SW_SECTION_CONE)
        return add_stepped(l, SW_VARY_BURNISH, 0, leave->burnish.value, burnish_step, burnish_most);
    if (is->finish == SW_FINISH_STONED)
        return add_stepped(l, SW_VARY_STONE, 0, leave->stone.value, stone_step, stone_most);
    return SW_OK;
}

static enum sw_status list_rods(struct lister *l)
{
    const struct sw_stock *stock = l->task->shop->stock.at;
    const char *material = l->task->shape->staff->material;
    for (size_t i = 0; i < l->task->shop->stock.n; i++) {
        const double d = stock[i].diameter.value;
        if (strcmp(stock[i].material.value, material) == 0 && d > l->spot->rod + SW_TOL_SLIVER &&
            d <= l->task->shop->machine->spindle.bore.value)
            SW_TRY(
                add(l, (struct sw_variation){.kind = SW_VARY_ROD, .now = l->spot->rod, .then = d}));
    }
    return SW_OK;
}

static enum sw_status list_fitted(struct lister *l)
{
    const struct sw_fitted_tool *fitted = l->task->shop->tools.at;
    size_t n_others = 0;
    for (size_t i = 0; i < l->task->shop->tools.n; i++)
        n_others += fitted[i].is != l->spot->tool && turns_inwards(fitted[i].is);
    for (size_t i = 0; i < l->task->shop->tools.n; i++) {
        const struct sw_tool *is = fitted[i].is;
        if (is == l->spot->tool) {
            if (n_others > 0)
                SW_TRY(add(l, (struct sw_variation){.kind = SW_VARY_WITHOUT, .tool = i}));
            SW_TRY(add_stepped(l, SW_VARY_EDGE, i, is->edge_radius.value, edge_step, edge_least));
            SW_TRY(add_stepped(l, SW_VARY_NOSE, i, is->nose_radius.value, nose_step, nose_least));
            if (l->spot->is_finish)
                SW_TRY(add_stepped(l, SW_VARY_DEPTH, i, is->finish_depth.value, depth_step,
                                   depth_least));
        }
        if (is == l->spot->sets_nose && is->holder.ahead.value > 0)
            SW_TRY(add(l, (struct sw_variation){
                              .kind = SW_VARY_AHEAD, .tool = i, .now = is->holder.ahead.value}));
        if (is == l->spot->sets_nose && is->kind.value == SW_TOOL_BLADE)
            SW_TRY(add_stepped(l, SW_VARY_WIDTH, i, is->width.value, blade_step, blade_least));
    }
    return SW_OK;
}

static enum sw_status list_tools(struct lister *l, const struct sw_plan_aids *aids)
{
    const struct sw_fitted_tool *fitted = l->task->shop->tools.at;
    const size_t n = l->task->shop->tools.n;
    size_t station = 0;
    while (station < n && fitted[station].is != l->spot->tool)
        station++;
    for (size_t k = 0; station < n && k < aids->n_tools; k++) {
        const struct sw_tool *tool = aids->tool[k];
        struct sw_variation variation = {.kind = SW_VARY_TOOL, .tool = station, .is = tool};
        bool is_fitted = false;
        for (size_t i = 0; i < n; i++)
            is_fitted = is_fitted || strcmp(fitted[i].is->name.value, tool->name.value) == 0;
        variation.name = stem(tool->file, l->ctx);
        if (!variation.name)
            return SW_MEMORY;
        if (turns_inwards(tool) && !is_fitted)
            SW_TRY(add(l, variation));
    }
    return SW_OK;
}

static bool is_listed(const struct lister *l, const char *material)
{
    bool is = strcmp(material, l->task->shape->staff->material) == 0;
    for (size_t i = 0; i < l->out->n; i++)
        is = is ||
             (l->out->at[i].kind == SW_VARY_MATERIAL && strcmp(l->out->at[i].name, material) == 0);
    return is;
}

/* What the shop has rods of first, then what there is besides. */
static enum sw_status list_materials(struct lister *l, const struct sw_plan_aids *aids)
{
    const struct sw_stock *stock = l->task->shop->stock.at;
    for (size_t i = 0; i < l->task->shop->stock.n; i++)
        if (!is_listed(l, stock[i].material.value))
            SW_TRY(add(l, (struct sw_variation){.kind = SW_VARY_MATERIAL,
                                                .name = stock[i].material.value,
                                                .made = stock[i].is}));
    for (size_t i = 0; aids && i < aids->n_materials; i++) {
        const char *name = stem(aids->material[i]->file, l->ctx);
        if (!name)
            return SW_MEMORY;
        if (!is_listed(l, name))
            SW_TRY(add(l, (struct sw_variation){
                              .kind = SW_VARY_MATERIAL, .name = name, .made = aids->material[i]}));
    }
    return SW_OK;
}

enum sw_status sw_variations_of(struct sw_variations *out, const struct sw_plan_task *task,
                                const struct sw_weak_spot *spot, const struct sw_plan_aids *aids,
                                struct sw_ctx *ctx)
{
    struct lister l = {out, task, spot, ctx};
    *out = (struct sw_variations){0};
    SW_TRY(list_choices(&l));
    SW_TRY(list_allowances(&l));
    SW_TRY(list_rods(&l));
    SW_TRY(list_fitted(&l));
    if (aids)
        SW_TRY(list_tools(&l, aids));
    return list_materials(&l, aids);
}

/* Copies of what may be changed; the lists with them. */
struct copies {
    struct sw_job *job;
    struct sw_shop *shop;
    struct sw_staff *staff;
    struct sw_fitted_tool *tool;
    struct sw_stock *stock;
    struct sw_ctx *ctx;
};

static enum sw_status copy(struct copies *c, const struct sw_plan_task *task, struct sw_ctx *ctx)
{
    const size_t n_tools = task->shop->tools.n, n_stock = task->shop->stock.n;
    *c = (struct copies){.job = SW_NEW(ctx->arena, struct sw_job, 1),
                         .shop = SW_NEW(ctx->arena, struct sw_shop, 1),
                         .staff = SW_NEW(ctx->arena, struct sw_staff, 1),
                         .tool = SW_NEW(ctx->arena, struct sw_fitted_tool, n_tools),
                         /* rods of another material may come on top */
                         .stock = SW_NEW(ctx->arena, struct sw_stock, 2 * n_stock),
                         .ctx = ctx};
    if (!c->job || !c->shop || !c->staff || !c->tool || !c->stock)
        return SW_MEMORY;
    *c->job = *task->job;
    *c->shop = *task->shop;
    *c->staff = *task->shape->staff;
    for (size_t i = 0; i < n_tools; i++)
        c->tool[i] = ((const struct sw_fitted_tool *)task->shop->tools.at)[i];
    for (size_t i = 0; i < n_stock; i++)
        c->stock[i] = ((const struct sw_stock *)task->shop->stock.at)[i];
    c->shop->tools.at = c->tool;
    c->shop->stock.at = c->stock;
    return SW_OK;
}

static enum sw_status change_tool(struct copies *c, const struct sw_variation *v)
{
    struct sw_tool *tool = SW_NEW(c->ctx->arena, struct sw_tool, 1);
    if (!tool)
        return SW_MEMORY;
    *tool = *c->tool[v->tool].is;
    c->tool[v->tool].is = tool;
    if (v->kind == SW_VARY_EDGE)
        tool->edge_radius.value = v->then;
    else if (v->kind == SW_VARY_NOSE)
        tool->nose_radius.value = v->then;
    else if (v->kind == SW_VARY_DEPTH)
        tool->finish_depth.value = v->then;
    else if (v->kind == SW_VARY_AHEAD)
        tool->holder.ahead.value = v->then;
    else if (v->kind == SW_VARY_WIDTH)
        tool->width.value = v->then;
    else
        *tool = *v->is;
    return SW_OK;
}

static void take_out_tool(struct copies *c, size_t tool)
{
    c->shop->tools.n--;
    for (size_t i = tool; i < c->shop->tools.n; i++)
        c->tool[i] = c->tool[i + 1];
}

static void keep_rods_from(struct copies *c, double diameter)
{
    size_t n = 0;
    for (size_t i = 0; i < c->shop->stock.n; i++)
        if (c->stock[i].diameter.value > diameter - SW_TOL_SLIVER ||
            strcmp(c->stock[i].material.value, c->staff->material) != 0)
            c->stock[n++] = c->stock[i];
    c->shop->stock.n = n;
}

/* The shop's own rods of it, or rods of it in all sizes the shop has now. */
static void change_material(struct copies *c, const struct sw_variation *v)
{
    const size_t n = c->shop->stock.n;
    bool has_rods = false;
    for (size_t i = 0; i < n; i++)
        has_rods = has_rods || strcmp(c->stock[i].material.value, v->name) == 0;
    for (size_t i = 0; i < n && !has_rods; i++) {
        if (strcmp(c->stock[i].material.value, c->staff->material) != 0)
            continue;
        struct sw_stock *rod = &c->stock[c->shop->stock.n++];
        *rod = c->stock[i];
        rod->material.value = v->name;
        rod->is = v->made;
    }
    c->staff->material = v->name;
}

static enum sw_status make_one(struct copies *c, const struct sw_variation *v)
{
    struct sw_job *job = c->job;
    switch (v->kind) {
    case SW_VARY_ORDER:
        job->pivot_order.value =
            job->pivot_order.value == SW_PIVOTS_LAST ? SW_PIVOTS_TIP_FIRST : SW_PIVOTS_LAST;
        break;
    case SW_VARY_FIRST_SIDE:
        job->first_side.value =
            job->first_side.value == SW_SIDE_UPPER ? SW_SIDE_LOWER : SW_SIDE_UPPER;
        break;
    case SW_VARY_GRIP:
        job->second_grip.value = v->name;
        break;
    case SW_VARY_SIZING:
        job->sizing_length.value = 0;
        break;
    case SW_VARY_BURNISH:
        c->shop->leave.burnish.value = v->then;
        break;
    case SW_VARY_STONE:
        c->shop->leave.stone.value = v->then;
        break;
    case SW_VARY_ROD:
        keep_rods_from(c, v->then);
        break;
    case SW_VARY_WITHOUT:
        take_out_tool(c, v->tool);
        break;
    case SW_VARY_MATERIAL:
        change_material(c, v);
        break;
    case SW_VARY_DEPTH:
    case SW_VARY_EDGE:
    case SW_VARY_NOSE:
    case SW_VARY_AHEAD:
    case SW_VARY_WIDTH:
    case SW_VARY_TOOL:
        return change_tool(c, v);
    }
    return SW_OK;
}

enum sw_status sw_variation_apply(struct sw_plan_task *out, const struct sw_plan_task *task,
                                  const struct sw_variation *variation, size_t n,
                                  struct sw_ctx *ctx)
{
    struct copies c;
    struct sw_shape *shape = NULL;
    SW_TRY(copy(&c, task, ctx));
    for (size_t i = 0; i < n; i++)
        SW_TRY(make_one(&c, &variation[i]));
    const struct sw_shape_extra extra = sw_plan_extra(c.job);
    SW_TRY(sw_shape_build(&shape, c.staff, &c.shop->leave, &extra, ctx));
    *out = *task;
    out->job = c.job;
    out->shop = c.shop;
    out->shape = shape;
    return SW_OK;
}

static const char *says_material(const struct sw_variation *v, const struct sw_plan_task *task,
                                 struct sw_ctx *ctx)
{
    static const char *const state[] = {"annealed", "tempered", "hardened"};
    const struct sw_stock *stock = task->shop->stock.at;
    bool has_rods = false;
    for (size_t i = 0; i < task->shop->stock.n; i++)
        has_rods = has_rods || strcmp(stock[i].material.value, v->name) == 0;
    return sw_arena_printf(ctx->arena, "`material: %s` (%s, yields at %.0f MPa) for the staff%s",
                           v->name, state[v->made->state.value], v->made->yield.value,
                           has_rods ? "" : ", and rods of it in the shop's `stock`");
}

const char *sw_variation_says(const struct sw_variation *v, const struct sw_plan_task *task,
                              struct sw_ctx *ctx)
{
    struct sw_arena *arena = ctx->arena;
    const struct sw_job *job = task->job;
    const struct sw_fitted_tool *fitted =
        &((const struct sw_fitted_tool *)task->shop->tools.at)[v->tool];
    const char *tool = fitted->is->name.value;
    switch (v->kind) {
    case SW_VARY_ORDER:
        return job->pivot_order.value == SW_PIVOTS_LAST
                   ? "`pivot_order: tip-first` in the job (now last)"
                   : "`pivot_order: last` in the job (now tip-first)";
    case SW_VARY_FIRST_SIDE:
        return job->first_side.value == SW_SIDE_UPPER
                   ? "`first_side: lower` in the job (now upper)"
                   : "`first_side: upper` in the job (now lower)";
    case SW_VARY_GRIP:
        return sw_arena_printf(arena, "`second_grip: %s` in the job", v->name);
    case SW_VARY_SIZING:
        return sw_arena_printf(arena, "`sizing_length: 0` in the job (now %g)", v->now);
    case SW_VARY_BURNISH:
        return sw_arena_printf(arena, "`leave: {burnish: %.3f}` in the shop (now %.3f)", v->then,
                               v->now);
    case SW_VARY_STONE:
        return sw_arena_printf(arena, "`leave: {stone: %.3f}` in the shop (now %.3f)", v->then,
                               v->now);
    case SW_VARY_ROD:
        return sw_arena_printf(
            arena, "no rod under `diameter: %g` in the shop's `stock` (now %g is taken)", v->then,
            v->now);
    case SW_VARY_WITHOUT:
        return sw_arena_printf(arena,
                               "%s not fitted (station %.0f), so that another takes its work", tool,
                               fitted->station.value);
    case SW_VARY_EDGE:
        return sw_arena_printf(arena, "`edge_radius: %g` for %s (now %g)", v->then, tool, v->now);
    case SW_VARY_NOSE:
        return sw_arena_printf(arena, "`nose_radius: %g` for %s (now %g)", v->then, tool, v->now);
    case SW_VARY_DEPTH:
        return sw_arena_printf(arena, "`finish_depth: %g` for %s (now %g)", v->then, tool, v->now);
    case SW_VARY_AHEAD:
        return sw_arena_printf(arena,
                               "`holder: {ahead: %g}` for %s (now %g): the rod stands out less",
                               v->then, tool, v->now);
    case SW_VARY_WIDTH:
        return sw_arena_printf(arena, "`width: %g` for %s (now %g): the rod stands out less",
                               v->then, tool, v->now);
    case SW_VARY_TOOL:
        return sw_arena_printf(arena, "`tool: %s` at station %.0f (now %s)", v->name,
                               fitted->station.value, tool);
    case SW_VARY_MATERIAL:
        break;
    }
    return says_material(v, task, ctx);
}
