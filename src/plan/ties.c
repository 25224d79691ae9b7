/* Plainer ways of working, under the same limits as the planner's own and with their own best
 * parameters: what its schedules are compared with. Nothing here is used to make programs. */
#include "plan/rough_int.h"

#include <math.h>

#include "geom/tol.h"

/* FREE_FINISH: one tool all the way, the one that is sooner done. */
enum sw_status sw_ties_find_plain(struct sw_schedule *schedule, struct share *share, size_t n,
                                  struct sw_planner *p, const struct sw_zone *zone, double leave,
                                  double r_stock)
{
    struct share *fine = &share[n - 1];
    struct sw_schedule strong = {0};
    double start_s[MOST_TOOLS];
    sw_share_start(start_s, share, n, p);
    const enum sw_status status =
        sw_share_search_even(schedule, fine, p, zone, leave, r_stock, fine->bottom, true);
    if (status != SW_OK && status != SW_CANNOT)
        return status;
    for (size_t i = 0; i < schedule->n; i++)
        schedule->pass[i].tool = n - 1;
    if (n == 1 || share[0].bottom > fine->bottom + SW_TOL_POINT)
        return status;
    const enum sw_status other =
        sw_share_search_even(&strong, &share[0], p, zone, leave, r_stock, share[0].bottom, true);
    if (other != SW_OK)
        return other == SW_CANNOT ? status : other;
    if (status == SW_CANNOT || strong.seconds + start_s[0] < schedule->seconds + start_s[n - 1])
        *schedule = strong;
    return SW_OK;
}

/* ONE_DEPTH: the passes that depth and feed of the zone make. */
enum sw_status sw_ties_rough_with_one_depth(struct share *share, struct sw_planner *p,
                                            const struct sw_zone *zone, double leave,
                                            double r_stock)
{
    const double whole = r_stock - share->bottom;
    struct sw_schedule_case of;
    struct sw_schedule even;
    SW_TRY(sw_share_case(&of, share, p, zone, leave, r_stock, share->bottom,
                         whole / fmax(1, floor(whole / p->tied_depth + 0.5))));
    SW_TRY(sw_schedule_even(&even, &of, true, p->ctx));
    for (size_t i = 0; i < even.n; i++)
        even.pass[i].feed = fmin(even.pass[i].feed, p->tied_feed);
    return sw_share_cut(share, p, &even, true);
}

/* The largest feed up to the tool's last cut's that keeps a last cut of DEPTH within what bending
 * may take; 0: none. A zone that the tool's own last cut bends more may be bent as much as that. */
static enum sw_status fine_feed(double *feed, struct sw_planner *p, const struct sw_zone *zone,
                                double depth)
{
    const struct sw_op fine =
        sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish, 1.0, zone->first);
    double usual = 0, error = 0;
    SW_TRY(sw_plan_off_size(&usual, p, zone, fine.depth, fine.feed));
    const double most = fmax(usual, sw_plan_bending_share(p, zone)) + SW_TOL_POINT;
    const double least =
        sw_cut_least_chip(zone->finish.tool, p->now->stock->is); /* of a chip, so of a feed */
    for (*feed = fine.feed; *feed >= least; *feed *= 0.95) {
        SW_TRY(sw_plan_off_size(&error, p, zone, depth, *feed));
        if (error <= most)
            return SW_OK;
    }
    *feed = 0;
    return SW_OK;
}

enum sw_status sw_plan_one_depth(double *depth, double *feed, struct sw_planner *p,
                                 const struct sw_zone *zone, int n_fine, double r_stock)
{
    struct share *share = SW_NEW(p->ctx->arena, struct share, 1);
    if (!share)
        return SW_MEMORY;
    share->tool = zone->finish;
    SW_TRY(sw_share_begin(share, p, zone, 0, r_stock));
    const double r_final = share->bottom, whole = r_stock - r_final;
    struct sw_contour last = {0};
    SW_TRY(
        sw_contour_piece(&last, share->reach.locus, share->reach.z_in, share->reach.z_out, p->ctx));
    /* The first of the last cuts meets what roughing left, and by how much that was bent. */
    const double most =
        SW_STRENGTH_LEVELS * zone->finish.tool->most_depth.value / (1 + SW_STRENGTH_SHARE * n_fine);
    double best_s = HUGE_VAL;
    *depth = *feed = 0;
    for (int n = (int)ceil(whole / most); whole / n >= SW_STRENGTH_GRAIN; n++) {
        const double d = whole / n;
        double f = 0;
        struct sw_schedule_case of;
        struct sw_schedule even = {0};
        SW_TRY(fine_feed(&f, p, zone, d));
        if (f <= 0 || n < n_fine)
            continue;
        SW_TRY(sw_share_begin(share, p, zone, n_fine * d, r_stock));
        const double rough = r_stock - share->bottom;
        if (rough > SW_TOL_SLIVER) {
            SW_TRY(sw_share_case(&of, share, p, zone, n_fine * d, r_stock, share->bottom,
                                 rough / fmax(1, floor(rough / d + 0.5))));
            const enum sw_status status = sw_schedule_even(&even, &of, true, p->ctx);
            if (status == SW_CANNOT)
                continue;
            SW_TRY(status);
            f = fmin(f, even.n > 0 ? even.pass[0].feed : f);
        }
        double seconds = 0;
        for (size_t i = 0; i < even.n; i++)
            seconds +=
                60 * sw_share_length(share, even.pass[i].r_old - even.pass[i].depth) /
                    (f * even.pass[i].speed) +
                sw_share_back(share, even.pass[i].r_old, even.pass[i].depth, f, even.pass[i].speed);
        seconds += n_fine * 60 * sw_contour_length(&last) / (f * share->search.most_speed);
        if (seconds >= best_s)
            continue;
        best_s = seconds;
        *depth = d;
        *feed = f;
    }
    return isfinite(best_s) ? SW_OK : SW_CANNOT;
}
