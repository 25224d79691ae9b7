#include "stat/chance.h"

#include <math.h>

static const double sqrt3 = 1.73205080756887729353;

static uint64_t splitmix(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

struct sw_chance sw_chance_from(uint64_t seed)
{
    struct sw_chance chance = {{0}, 0, false};
    for (int i = 0; i < 4; i++)
        chance.state[i] = splitmix(&seed);
    return chance;
}

static uint64_t rotate(uint64_t x, int by)
{
    return (x << by) | (x >> (64 - by));
}

uint64_t sw_chance_bits(struct sw_chance *chance)
{
    uint64_t *s = chance->state;
    const uint64_t result = rotate(s[1] * 5, 7) * 9;
    const uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate(s[3], 45);
    return result;
}

double sw_chance_even(struct sw_chance *chance)
{
    return (double)(sw_chance_bits(chance) >> 11) * 0x1p-53;
}

double sw_chance_normal(struct sw_chance *chance)
{
    if (chance->has_spare) {
        chance->has_spare = false;
        return chance->spare;
    }
    double a, b, square;
    do {
        a = 2 * sw_chance_even(chance) - 1;
        b = 2 * sw_chance_even(chance) - 1;
        square = a * a + b * b;
    } while (square >= 1 || square == 0);
    const double stretch = sqrt(-2 * log(square) / square);
    chance->spare = b * stretch;
    chance->has_spare = true;
    return a * stretch;
}

/* Student's t by its definition; degrees of freedom from repeated readings are whole and few. */
static double student(struct sw_chance *chance, double dof)
{
    const double top = sw_chance_normal(chance);
    double sum = 0;
    for (int i = 0; i < (int)dof; i++) {
        const double x = sw_chance_normal(chance);
        sum += x * x;
    }
    return top / sqrt(sum / floor(dof));
}

double sw_chance_deviation(struct sw_chance *chance, const struct sw_gum_source *source)
{
    static const double many = 200; /* a t with so many degrees of freedom is a normal */
    switch (source->spread) {
    case SW_SPREAD_EVEN:
        return source->u * sqrt3 * (2 * sw_chance_even(chance) - 1);
    case SW_SPREAD_STUDENT:
        if (source->dof >= 1 && source->dof < many)
            return source->u * student(chance, source->dof);
        break;
    case SW_SPREAD_NORMAL:
        break;
    }
    return source->u * sw_chance_normal(chance);
}
