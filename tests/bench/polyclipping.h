/* polyclipping: a plain loop of polygon differences with libpolyclipping, for the benchmark;
 * without that library the functions are not there and SW_HAS_POLYCLIPPING is 0.
 *
 * Units: mm; inside whole numbers of a tenth of a nanometre.
 */
#ifndef SW_TESTS_BENCH_POLYCLIPPING_H
#define SW_TESTS_BENCH_POLYCLIPPING_H

#include "geom/seg.h"

#ifndef SW_HAS_POLYCLIPPING
#define SW_HAS_POLYCLIPPING 0
#endif

#ifdef __cplusplus
extern "C" {
#endif
void *sw_polyclipping_begin(struct sw_box rod);
void sw_polyclipping_cut(void *left, const struct sw_pt *points, size_t n);
double sw_polyclipping_area(const void *left);
/** Corners of all that is left. */
size_t sw_polyclipping_n(const void *left);
void sw_polyclipping_end(void *left);
#ifdef __cplusplus
}
#endif

#endif
