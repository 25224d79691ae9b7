/* All of a piece that hangs on its neck is a pendulum on a thin spring: at some speed it whirls. */
#include <math.h>

#include "geom/tol.h"
#include "mech/beam.h"
#include "verify/load.h"

/* Lumps of the work are no longer than this [mm]. */
#define LUMP 0.1

/* The work from the nose of the holder to its free end. */
static enum sw_status pieces_of(struct sw_bar_piece **out, size_t *n, const struct sw_judge *judge)
{
    const struct sw_silhouette *work = &judge->load.before;
    const double z_nose = sw_load_nose_z(judge);
    struct sw_bar_piece *piece = SW_NEW(judge->ctx->arena, struct sw_bar_piece, work->n + 1);
    *out = piece;
    *n = 0;
    if (piece == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < work->n; i++) {
        const struct sw_stretch *is = &work->at[i];
        const double z0 = *n > 0 ? piece[*n - 1].z1 : 0, z1 = is->z1 - z_nose;
        if (z1 < z0 + SW_TOL_SLIVER || !(fmax(is->r0, is->r1) > SW_TOL_SLIVER))
            continue; /* behind the nose, a step, or nothing */
        piece[(*n)++] = (struct sw_bar_piece){z0, z1, fmax(2 * is->r0, SW_TOL_SLIVER),
                                              fmax(2 * is->r1, SW_TOL_SLIVER)};
    }
    return SW_OK;
}

/* First critical speed [rev/min] by Dunkerley's rule: each lump's mass times the compliance at its
 * place, summed. Never above the true one; of a uniform bar held at one end 1.5 % below. */
static double critical_of(const struct sw_bar *bar, const struct sw_bar_piece *piece, size_t n,
                          double tonne_mm3)
{
    static const double pi = 3.14159265358979323846;
    double per_square = 0;
    for (size_t i = 0; i < n; i++) {
        const double length = piece[i].z1 - piece[i].z0;
        const int lumps = (int)ceil(length / LUMP);
        for (int k = 0; k < lumps; k++) {
            const double t = (k + 0.5) / lumps, z = piece[i].z0 + t * length;
            const double d = piece[i].d0 + t * (piece[i].d1 - piece[i].d0);
            const double mass = pi / 4 * d * d * length / lumps * tonne_mm3;
            per_square += mass * sw_bar_compliance(bar, z, z);
        }
    }
    return 60 / (2 * pi * sqrt(per_square));
}

enum sw_status sw_judge_whirl(struct sw_judge *judge)
{
    const struct sw_sim_side *side = &judge->sim->side[judge->sim->n_sides - 1];
    const struct sw_material *material = sw_judge_material(judge);
    struct sw_bar_piece *piece = NULL;
    struct sw_bar bar = {0};
    size_t n = 0;
    if (material == NULL || !(material->density.value > 0) ||
        !(material->elastic_modulus.value > 0) || side->in_bush || !(judge->neck_fastest > 0))
        return SW_OK;
    SW_TRY(pieces_of(&piece, &n, judge));
    if (n == 0)
        return SW_OK;
    const struct sw_bar_material is = {material->elastic_modulus.value, material->poisson.value};
    const struct sw_bar_root root = sw_load_root(judge);
    SW_TRY(sw_bar_build(&bar, piece, n, &is, &root, SW_BAR_ALL, judge->ctx));
    const double critical = critical_of(&bar, piece, n, material->density.value * 1e-9);
    if (judge->neck_fastest <= SW_VERIFY_WHIP_SHARE * critical)
        return SW_OK;
    struct sw_finding finding = sw_judge_finding(
        SW_FINDING_BAR_WHIP, judge->neck_fastest > critical ? SW_ERROR : SW_WARNING);
    finding.program = judge->program[judge->program_now].name;
    finding.chucking = (int)judge->sim->n_sides;
    finding.value = judge->neck_fastest;
    finding.limit = SW_VERIFY_WHIP_SHARE * critical;
    finding.unit = "rev/min";
    return sw_judge_add(judge, finding, 3,
                        "all of the piece hangs on the neck at z %.3f, %.3f mm thick, and whirls "
                        "from %.0f rev/min on; the program turns at %.0f while it is so thin",
                        side->setup->neck_z.value, 2 * judge->neck_r, critical,
                        judge->neck_fastest);
}
