/* chance: seeded random numbers, the same on every machine.
 *
 * xoshiro256** (Blackman and Vigna 2018, public domain), its state filled by splitmix64 from one
 * number. Ownership: a plain struct. No statuses.
 */
#ifndef SW_STAT_CHANCE_H
#define SW_STAT_CHANCE_H

#include <stdbool.h>
#include <stdint.h>

#include "stat/gum.h"

struct sw_chance {
    uint64_t state[4];
    double spare; /* normal numbers come in pairs */
    bool has_spare;
};

struct sw_chance sw_chance_from(uint64_t seed);

/** 64 random bits. */
uint64_t sw_chance_bits(struct sw_chance *chance);

/** Even in [0, 1). */
double sw_chance_even(struct sw_chance *chance);

/** Normal, mean 0, deviation 1 (Marsaglia's polar method). */
double sw_chance_normal(struct sw_chance *chance);

/** The deviation of a source from its value, by its spread. */
double sw_chance_deviation(struct sw_chance *chance, const struct sw_gum_source *source);

#endif
