/* near: what cmocka 1.1.5 lacks. Its float assertion casts to float and would pass errors of a
 * tenth of a micrometre; tests/meta forbids it. Include this instead of cmocka.h. */
#ifndef SW_TESTS_SUPPORT_NEAR_H
#define SW_TESTS_SUPPORT_NEAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/ctx.h"

/** |GOT - WANTED| <= ABSOLUTE, both printed with 17 digits otherwise. */
#define assert_near(got, wanted, absolute)                                                       \
    sw_assert_near((got), (wanted), (absolute), #got, __FILE__, __LINE__)
/** |GOT - WANTED| <= RELATIVE * |WANTED|. */
#define assert_near_relative(got, wanted, relative)                                              \
    sw_assert_near((got), (wanted), (relative) * ((wanted) < 0 ? -(wanted) : (wanted)), #got,    \
                   __FILE__, __LINE__)

void sw_assert_near(double got, double wanted, double absolute, const char *text,
                    const char *file, int line);

/** A context for one test. */
struct sw_ctx sw_test_ctx(void);
void sw_test_ctx_free(struct sw_ctx *ctx);

/** All diagnostics as text, in the context's arena. */
const char *sw_test_diagnostics(struct sw_ctx *ctx);

#endif
