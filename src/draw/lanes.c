#include "draw/lanes.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

static const size_t unassigned = SIZE_MAX;

static double length(const struct sw_lane_span *span)
{
    return span->to - span->from;
}

static bool is_free(const size_t *lane, const struct sw_lane_span *span, size_t n, size_t which,
                    size_t candidate, double gap)
{
    for (size_t i = 0; i < n; i++)
        if (lane[i] == candidate && span[i].from < span[which].to + gap &&
            span[which].from < span[i].to + gap)
            return false;
    return true;
}

size_t sw_lanes_assign(size_t *lane, const struct sw_lane_span *span, size_t n, double gap)
{
    size_t n_lanes = 0;
    for (size_t i = 0; i < n; i++)
        lane[i] = unassigned;
    for (size_t done = 0; done < n; done++) {
        size_t next = unassigned;
        for (size_t i = 0; i < n; i++)
            if (lane[i] == unassigned &&
                (next == unassigned || length(&span[i]) < length(&span[next])))
                next = i;
        size_t candidate = 0;
        while (!is_free(lane, span, n, next, candidate, gap))
            candidate++;
        lane[next] = candidate;
        n_lanes = candidate + 1 > n_lanes ? candidate + 1 : n_lanes;
    }
    return n_lanes;
}

/* Labels that touch form blocks; each block stands where its members' wishes have their mean. This
 * is the pooling of an isotonic regression (derived; the method is classic), done on the labels'
 * places less the room in front of them. */
void sw_lanes_spread(double *at, const double *want, const double *width, size_t n, double low,
                     double high, double *scratch)
{
    double *mean = scratch, *count = scratch + n;
    size_t n_blocks = 0;
    double before = 0; /* room taken by the labels in front */
    for (size_t i = 0; i < n; i++) {
        mean[n_blocks] = want[i] - (before + width[i] / 2);
        count[n_blocks] = 1;
        n_blocks++;
        before += width[i];
        while (n_blocks > 1 && mean[n_blocks - 2] > mean[n_blocks - 1]) {
            const double both = count[n_blocks - 2] + count[n_blocks - 1];
            mean[n_blocks - 2] = (mean[n_blocks - 2] * count[n_blocks - 2] +
                                  mean[n_blocks - 1] * count[n_blocks - 1]) /
                                 both;
            count[n_blocks - 2] = both;
            n_blocks--;
        }
    }
    const double last = high - before; /* where a row that ends at HIGH begins */
    size_t i = 0;
    double room = 0;
    for (size_t block = 0; block < n_blocks; block++) {
        const double base = fmax(low, fmin(mean[block], last));
        for (double k = 0; k < count[block]; k++, i++) {
            at[i] = base + room + width[i] / 2;
            room += width[i];
        }
    }
}
