/* Answers of src/mech for the witnesses: one question a line on standard input, one number a line
 * on standard output.
 *
 * A question is WHAT E nu rho X A and the pieces from the clamp as length, d0, d1 (mm, MPa, t/mm3).
 * WHAT: bend: mm/N at X by a force at A; buckle: N; frequency: Hz. Begun with "plain" they are
 * answered from bending alone, otherwise with all terms. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "mech/beam.h"
#include "mech/buckle.h"
#include "mech/vibrate.h"

enum { MOST_PIECES = 64, MOST_LINE = 8192 };

static int answer(char *line, struct sw_ctx *ctx)
{
    char *at = line;
    while (*at && *at != ' ')
        at++;
    if (*at)
        *at++ = 0;
    double head[5];
    for (size_t i = 0; i < 5; i++)
        head[i] = strtod(at, &at);
    struct sw_bar_piece pieces[MOST_PIECES];
    size_t n = 0;
    for (double z = 0; n < MOST_PIECES; n++) {
        char *end = at;
        const double length = strtod(at, &end);
        if (end == at)
            break;
        pieces[n].z0 = z;
        z += length;
        pieces[n].z1 = z;
        pieces[n].d0 = strtod(end, &end);
        pieces[n].d1 = strtod(end, &at);
    }
    const struct sw_bar_material material = {head[0], head[1]};
    const unsigned terms = strncmp(line, "plain", 5) == 0 ? SW_BAR_BENDING : SW_BAR_ALL;
    struct sw_bar bar = {0};
    if (sw_bar_build(&bar, pieces, n, &material, NULL, terms, ctx) != SW_OK)
        return 1;
    double value = sw_bar_compliance(&bar, head[3], head[4]);
    if (strstr(line, "buckle"))
        value = sw_buckle_load(&bar);
    else if (strstr(line, "frequency") && sw_vibrate_first(&value, &bar, head[2], ctx) != SW_OK)
        return 1;
    printf("%.17g\n", value);
    return 0;
}

int main(void)
{
    struct sw_ctx ctx = {.arena = sw_arena_new(), .diag = sw_diag_new()};
    char line[MOST_LINE];
    int failed = !ctx.arena || !ctx.diag;
    while (!failed && fgets(line, sizeof line, stdin))
        failed = answer(line, &ctx);
    sw_arena_free(ctx.arena);
    sw_diag_free(ctx.diag);
    return failed;
}
