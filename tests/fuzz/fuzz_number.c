/* Any bytes as a number: base/num beside the C library, and numbers with units as files have them.
 * The first byte says which quantity. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/num.h"
#include "fuzz.h"
#include "spec/table.h"

/* [+-]digits[.digits], one digit at least: what num.h promises to take. */
static bool is_number(const char *text, size_t size)
{
    size_t n_digits = 0, n_points = 0, i = 0;
    if (size > 0 && strchr("+-", text[0]) && text[0])
        i++;
    for (; i < size; i++) {
        n_points += text[i] == '.';
        n_digits += text[i] >= '0' && text[i] <= '9';
        if (text[i] != '.' && (text[i] < '0' || text[i] > '9'))
            return false;
    }
    return n_digits > 0 && n_points <= 1;
}

/* Digits before the point that count: beyond 290 num refuses, since doubles end at 308. */
static size_t n_whole_digits(const char *text)
{
    text += strspn(text, "+-");
    text += strspn(text, "0");
    return strspn(text, "0123456789");
}

static void check_plain(const char *text, size_t size, const struct sw_ctx *ctx)
{
    double value = 7;
    const bool reads = sw_num_parse(&value, text, size);
    if (!reads)
        sw_demand(ctx, memcmp(&value, &(double){7}, sizeof value) == 0);
    if (!is_number(text, size)) {
        sw_demand(ctx, !reads);
        return;
    }
    sw_demand(ctx, reads || n_whole_digits(text) > 290);
    if (!reads)
        return;
    const double wanted = strtod(text, NULL);
    /* As num.c says: exact below 2^53 and 22 places, under one unit in the last place beyond. */
    sw_demand(ctx, fabs(value - wanted) <= fabs(nextafter(wanted, INFINITY) - wanted));
    char written[SW_NUM_SIZE];
    for (int decimals = 0; decimals <= 9; decimals++) {
        const bool is_written = sw_num_format(written, value, decimals);
        sw_demand(ctx, is_written == (fabs(value) <= 1e9));
        if (!is_written)
            continue;
        double again;
        char twice[SW_NUM_SIZE];
        sw_demand(ctx, sw_num_parse(&again, written, strlen(written)));
        sw_demand(ctx, fabs(again - sw_num_round(value, decimals)) <= 1e-6);
        sw_demand(ctx, sw_num_format(twice, again, decimals) && strcmp(written, twice) == 0);
        sw_demand(ctx, written[0] != '-' || strpbrk(written, "123456789"));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    struct sw_ctx ctx = sw_fuzz_begin();
    const char *text = sw_arena_copy(ctx.arena, (const char *)data + 1, size - 1);
    sw_demand(&ctx, text);
    check_plain(text, size - 1, &ctx);
    const struct sw_span at = {sw_diag_add_source(ctx.diag, "x.yaml", text, size - 1), 1, 1, 1};
    const struct sw_node node = {.kind = SW_NODE_SCALAR, .text = text, .at = at};
    const enum sw_quantity quantity = (enum sw_quantity)(data[0] % (SW_QUANTITY_RATIO + 1));
    struct sw_number number = {0};
    const enum sw_status status = sw_number_read(&number, quantity, &node, &ctx);
    sw_demand(&ctx, status == SW_OK || status == SW_INPUT);
    sw_demand(&ctx, status != SW_OK || isfinite(number.value));
    sw_fuzz_end(&ctx, status);
    return 0;
}
