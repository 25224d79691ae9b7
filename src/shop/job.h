/* job: the five lines that say what to make of a staff in a shop, and the choices of the trade.
 *
 * Lengths [mm]. Ownership and statuses as machine.h.
 */
#ifndef SW_SHOP_JOB_H
#define SW_SHOP_JOB_H

#include "spec/table.h"

enum sw_scheme { SW_SCHEME_REVERSED, SW_SCHEME_BUSH, SW_SCHEME_SINGLE, SW_SCHEME_AUTO };
enum sw_side { SW_SIDE_UPPER, SW_SIDE_LOWER };
enum sw_pivot_order { SW_PIVOTS_TIP_FIRST, SW_PIVOTS_LAST };
enum sw_parting { SW_PART_TO_NECK, SW_PART_THROUGH };
enum sw_last_tip { SW_LAST_TIP_CHUCKED, SW_LAST_TIP_BY_HAND };

/** What a job says of hardening: there when `rod` is given. */
struct sw_job_harden {
    struct sw_text rod;         /* material of the blank, by name */
    struct sw_list growth;      /* two struct sw_number: share of a size, least and most */
    struct sw_number allowance; /* left on diameters that are cut hard [mm] */
};

struct sw_job {
    const char *file;
    struct sw_text name;            /* of the demo or output folder; the file's stem if not given */
    struct sw_text staff;           /* file, seen from the working folder */
    struct sw_text shop;            /* as written: for sw_shop_find(.., "shops", job->file, ..) */
    struct sw_text post;            /* dialect; the shop's if not given */
    struct sw_choice scheme;        /* enum sw_scheme */
    struct sw_choice first_side;    /* enum sw_side, default upper */
    struct sw_choice pivot_order;   /* enum sw_pivot_order, default tip-first */
    struct sw_choice parting;       /* enum sw_parting */
    struct sw_number neck;          /* diameter left when parting to a neck [mm] */
    struct sw_choice last_tip;      /* enum sw_last_tip; scheme `single` alone */
    struct sw_number leave_long;    /* added to the length at the second tip [mm] */
    struct sw_number sizing_length; /* turned ahead of the tip, measured, faced away [mm] */
    struct sw_choice measure;       /* truth: pauses to measure critical diameters */
    struct sw_choice try_parts;     /* truth: pauses to try balance, collet and roller */
    struct sw_text second_grip;     /* section gripped second; the balance seat if none */
    struct sw_text holder_first;    /* holder by name; chosen if not given */
    struct sw_text holder_second;
    struct sw_job_harden harden; /* bench lathe, scheme `reversed` alone */
};

/** By how much a hardened blank is larger, as a share of its size: the least and the most. Only of a
 *  job that hardens. */
struct sw_job_growth {
    double least, most;
};
struct sw_job_growth sw_job_growth(const struct sw_job *job);
/** The middle of it: what sizes of a blank are divided by 1 and this. */
double sw_job_growth_middle(const struct sw_job *job);
/** Whether a job turns a blank to be hardened. */
static inline bool sw_job_hardens(const struct sw_job *job)
{
    return job->harden.rod.value != NULL;
}

extern const struct sw_table sw_job_table;

/** Read a job/1 file. The staff's path comes out relative to the working folder, the shop's name
 *  as written, since a bare name may also stand in the profiles. */
enum sw_status sw_job_load(struct sw_job **out, const char *path, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
