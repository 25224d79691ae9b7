/* measured: what a gauge found on pieces cut by a job (measured/1).
 *
 * Lengths mm, diameters full. Readings keep the order of the file. Lives in the context.
 * Statuses: SW_INPUT with every fault at its place.
 */
#ifndef SW_GAUGE_MEASURED_H
#define SW_GAUGE_MEASURED_H

#include "spec/table.h"

enum sw_measured_stage { SW_STAGE_TURNED, SW_STAGE_STONED, SW_STAGE_BURNISHED };

struct sw_gauged {
    struct sw_text section;
    struct sw_number diameter;
    struct sw_number root_diameter, apart; /* a second reading nearer the hub, and how far off */
    struct sw_number uncertainty;          /* of this reading, in place of the file's */
    struct sw_number piece;
    struct sw_choice stage; /* enum sw_measured_stage */
    struct sw_text variant; /* of a batch: its folder */
};

/** A distance along the axis, from face to face, as the piece came off the lathe. */
struct sw_gauged_length {
    struct sw_text from, to; /* tips, heights, sections: the shoulder at its end towards the hub */
    struct sw_number length;
    struct sw_number uncertainty;
    struct sw_number piece;
    struct sw_text variant;
};

/** What was added to the X of a tool between two pieces. */
struct sw_gauge_change {
    struct sw_number side, station;
    struct sw_number x;     /* on radius, as added to its offset */
    struct sw_number after; /* the last piece cut without it */
};

struct sw_measured {
    const char *file;
    struct sw_number uncertainty;
    struct sw_list readings; /* struct sw_gauged */
    struct sw_list lengths;  /* struct sw_gauged_length */
    struct sw_list changes;  /* struct sw_gauge_change */
};

extern const struct sw_table sw_measured_table;

/** Read a measured/1 file; whether its sections are those of a staff is the caller's to see. */
enum sw_status sw_measured_load(struct sw_measured **out, const char *path,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** The diameter read; of two readings along a section their middle [mm]. */
double sw_gauged_diameter(const struct sw_gauged *reading);

/** Standard uncertainty of a reading: half of what is written, which holds 95 of 100. */
double sw_measured_u(const struct sw_measured *measured, const struct sw_gauged *reading);
double sw_measured_length_u(const struct sw_measured *measured,
                            const struct sw_gauged_length *length);

/** What has been added to the X of a tool, on radius, between this piece and the last. */
double sw_measured_added_since(const struct sw_measured *measured, int side, int station,
                               double piece);

#endif
