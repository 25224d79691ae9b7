/* fuzz: what the fuzz targets share. A target is one file fuzz_X.c with the function below; its
 * corpus is the folder corpus/X. A demand that does not hold ends the program by abort, as
 * libFuzzer wants it, after saying which and what the diagnostics were. */
#ifndef SW_TESTS_FUZZ_FUZZ_H
#define SW_TESTS_FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

#include "base/ctx.h"
#include "shop/shop.h"

/** Try one input; always 0. libFuzzer or replay.c calls it. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/** A context for one input. */
struct sw_ctx sw_fuzz_begin(void);
/** What holds of every stage: a status that blames the user goes with an error said (and no error
 *  with success), all can be shown, and nothing is internal. Then frees the context. */
void sw_fuzz_end(struct sw_ctx *ctx, enum sw_status status);
/** How often that was with SW_OK: a target that refuses its whole corpus tries nothing. */
size_t sw_fuzz_n_good(void);

#define sw_demand(ctx, holds)                                                                      \
    do {                                                                                           \
        if (!(holds))                                                                              \
            sw_fuzz_fail((ctx), #holds, __FILE__, __LINE__);                                       \
    } while (0)
_Noreturn void sw_fuzz_fail(const struct sw_ctx *ctx, const char *what, const char *file, int line);

/** The profiles of the source folder. */
extern const struct sw_search sw_fuzz_search;

/** Bytes drawn one after the other; 0 behind the end. */
struct sw_fuzz_bytes {
    const uint8_t *at;
    size_t n;
};
unsigned sw_fuzz_byte(struct sw_fuzz_bytes *bytes);

#endif
