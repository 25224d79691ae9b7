/* ctx: what nearly every stage needs besides its data: where results live and where faults go.
 *
 * A context is made by app (or a test), passed as the last argument, and belongs to one thread.
 */
#ifndef SW_BASE_CTX_H
#define SW_BASE_CTX_H

#include "base/diag.h"
#include "base/mem.h"
#include "base/status.h"

struct sw_ctx {
    struct sw_arena *arena; /* results "live in the context" = in here */
    struct sw_diag *diag;
};

#endif
