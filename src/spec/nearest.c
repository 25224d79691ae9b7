#include <stdbool.h>
#include <string.h>

#include "spec/table.h"

enum {
    MOST_LENGTH = 40, /* longer texts are no misspelt key */
    MOST_DISTANCE = 2,
    LEAST_STEM = 3
};

/* Case and the choice between '-', '_' and ' ' are no difference worth counting. */
static char folded(char c)
{
    if (c >= 'A' && c <= 'Z')
        return (char)(c - 'A' + 'a');
    return c == '_' || c == ' ' ? '-' : c;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edit distance with swaps of neighbours (optimal string alignment). */
static size_t distance(const char *a, size_t n_a, const char *b, size_t n_b)
{
    size_t row[3][MOST_LENGTH + 1];
    for (size_t j = 0; j <= n_b; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= n_a; i++) {
        size_t *now = row[i % 3];
        const size_t *before = row[(i + 2) % 3], *before_that = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= n_b; j++) {
            const char x = folded(a[i - 1]), y = folded(b[j - 1]);
            now[j] = least(least(before[j], now[j - 1]) + 1, before[j - 1] + (x != y));
            if (i > 1 && j > 1 && x == folded(b[j - 2]) && folded(a[i - 2]) == y)
                now[j] = least(now[j], before_that[j - 2] + 1);
        }
    }
    return row[n_a % 3][n_b];
}

static bool shares_stem(const char *a, size_t n_a, const char *b, size_t n_b)
{
    const size_t n = least(n_a, n_b);
    if (n < LEAST_STEM)
        return false;
    for (size_t i = 0; i < n; i++)
        if (folded(a[i]) != folded(b[i]))
            return false;
    return true;
}

const char *sw_nearest_word(const char *text, const char *const *words)
{
    const size_t n = strlen(text);
    if (n == 0 || n > MOST_LENGTH)
        return NULL;
    const char *best = NULL, *stem = NULL;
    size_t best_distance = MOST_DISTANCE + 1;
    for (size_t i = 0; words[i]; i++) {
        const size_t n_word = strlen(words[i]);
        if (n_word == 0 || n_word > MOST_LENGTH)
            continue;
        const size_t d = distance(text, n, words[i], n_word);
        /* Two edits turn any word of two letters into any other: a third of a word may differ. */
        if (d < best_distance && 3 * d <= (n > n_word ? n : n_word) + 1) {
            best = words[i];
            best_distance = d;
        }
        if (!stem && shares_stem(text, n, words[i], n_word))
            stem = words[i];
    }
    return best ? best : stem;
}
