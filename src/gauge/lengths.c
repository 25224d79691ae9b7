#include "gauge/lengths.h"

#include <math.h>
#include <string.h>

/* Which tools readings join to the reference. */
static void find_known(struct sw_gauge_z *tool, size_t n_tools, size_t reference,
                       const struct sw_gauge_span *span, size_t n)
{
    for (size_t i = 0; i < n_tools; i++)
        tool[i] = (struct sw_gauge_z){.is_known = i == reference};
    bool grows = true;
    while (grows) {
        grows = false;
        for (size_t i = 0; i < n; i++) {
            const bool from = tool[span[i].from].is_known, to = tool[span[i].to].is_known;
            grows = grows || from != to;
            tool[span[i].from].is_known = tool[span[i].to].is_known = from || to;
        }
    }
    for (size_t i = 0; i < n; i++) {
        tool[span[i].from].n++;
        tool[span[i].to].n += span[i].to != span[i].from;
    }
}

/* The unknowns: known tools but the reference. */
struct normal {
    size_t at[SW_GAUGE_MOST_TOOLS]; /* column of a tool */
    size_t n;
    double a[SW_GAUGE_MOST_TOOLS][2 * SW_GAUGE_MOST_TOOLS]; /* matrix, and its inverse beside it */
    double b[SW_GAUGE_MOST_TOOLS], x[SW_GAUGE_MOST_TOOLS];
};

/* Effect of each unknown on a span; the reference has none. */
static void row_of(double *row, const struct normal *normal, const struct sw_gauge_span *span)
{
    memset(row, 0, SW_GAUGE_MOST_TOOLS * sizeof *row);
    if (normal->at[span->to] < normal->n)
        row[normal->at[span->to]] += span->to_way;
    if (normal->at[span->from] < normal->n)
        row[normal->at[span->from]] -= span->from_way;
}

static void fill(struct normal *normal, const struct sw_gauge_z *tool,
                 const struct sw_gauge_span *span, size_t n)
{
    double row[SW_GAUGE_MOST_TOOLS];
    for (size_t i = 0; i < n; i++) {
        if (!tool[span[i].from].is_known)
            continue;
        const double weight = 1 / (span[i].u * span[i].u);
        row_of(row, normal, &span[i]);
        for (size_t r = 0; r < normal->n; r++) {
            normal->b[r] += weight * row[r] * span[i].error;
            for (size_t c = 0; c < normal->n; c++)
                normal->a[r][c] += weight * row[r] * row[c];
        }
    }
    for (size_t r = 0; r < normal->n; r++)
        normal->a[r][normal->n + r] = 1;
}

/* Gauss and Jordan; joined to the reference, the matrix is positive definite. */
static void invert(struct normal *normal)
{
    const size_t n = normal->n;
    for (size_t p = 0; p < n; p++) {
        const double pivot = normal->a[p][p];
        for (size_t c = 0; c < 2 * n; c++)
            normal->a[p][c] /= pivot;
        for (size_t r = 0; r < n; r++) {
            const double share = normal->a[r][p];
            for (size_t c = 0; r != p && c < 2 * n; c++)
                normal->a[r][c] -= share * normal->a[p][c];
        }
    }
    for (size_t r = 0; r < n; r++)
        for (size_t c = 0; c < n; c++)
            normal->x[r] += normal->a[r][n + c] * normal->b[c];
}

/* Readings that contradict each other by more than their doubt widen the doubt of the result. */
static double widening(const struct normal *normal, const struct sw_gauge_z *tool,
                       const struct sw_gauge_span *span, size_t n)
{
    double row[SW_GAUGE_MOST_TOOLS], chi_square = 0;
    size_t n_used = 0;
    for (size_t i = 0; i < n; i++) {
        if (!tool[span[i].from].is_known || span[i].from == span[i].to)
            continue;
        double rest = span[i].error;
        row_of(row, normal, &span[i]);
        for (size_t c = 0; c < normal->n; c++)
            rest -= row[c] * normal->x[c];
        chi_square += rest * rest / (span[i].u * span[i].u);
        n_used++;
    }
    return n_used > normal->n ? fmax(1, chi_square / (double)(n_used - normal->n)) : 1;
}

void sw_gauge_z(struct sw_gauge_z *tool, size_t n_tools, size_t reference,
                const struct sw_gauge_span *span, size_t n)
{
    struct normal normal = {0};
    find_known(tool, n_tools, reference, span, n);
    for (size_t i = 0; i < n_tools; i++)
        normal.at[i] = tool[i].is_known && i != reference ? normal.n++ : SW_GAUGE_MOST_TOOLS;
    fill(&normal, tool, span, n);
    invert(&normal);
    const double wider = widening(&normal, tool, span, n);
    for (size_t i = 0; i < n_tools; i++) {
        const size_t at = normal.at[i];
        if (at < normal.n)
            tool[i].offset =
                (struct sw_gauge_value){normal.x[at], sqrt(wider * normal.a[at][normal.n + at])};
    }
}
