/* bench_int: the check of a shop's bench; for shop.c. */
#ifndef SW_SHOP_BENCH_INT_H
#define SW_SHOP_BENCH_INT_H

#include "shop/bench.h"
#include "shop/read_int.h"

/** Report sets of gauges that make no sense. */
void sw_bench_check(struct sw_sense *sense, const struct sw_shop_bench *bench);

#endif
