/* Areas inside: the two files that speak to GEOS, region.c and region_ask.c. */

#ifndef SW_GEOM_REGION_INT_H
#define SW_GEOM_REGION_INT_H

#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#include "geom/region.h"

enum { MESSAGE_SIZE = 256 };

struct sw_kernel {
    struct sw_ctx *ctx;
    GEOSContextHandle_t geos;
    char message[MESSAGE_SIZE]; /* last complaint of GEOS */
};

struct sw_region {
    struct sw_kernel *kernel;
    GEOSGeometry *shape; /* a polygon or several, possibly empty */
    struct sw_box box;   /* all zero when empty */
    bool is_empty;
};

/* GEOS gave up on WHAT: says so with its last complaint and returns SW_INTERNAL, or SW_MEMORY where
 * it named the exception of C++ by which it reports a lack of memory. */
enum sw_status sw_region_failed(struct sw_kernel *kernel, const char *what);

/* Makes SHAPE an area; takes it over, whatever happens. */
enum sw_status sw_region_wrap(struct sw_region **out, struct sw_kernel *kernel,
                              GEOSGeometry *shape);

#endif
