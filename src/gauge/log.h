/* log: what was measured over many jobs, of one shop (measurements/1), and what it says.
 *
 * One line an entry, as gauged; nothing reckoned is kept but what was expected. Entries of one set
 * (a job and its readings), side, station and section, in the order of their pieces, belong
 * together: between sets tools are set anew. Lengths mm, diameters full, offsets on radius.
 * Ownership: lives in the context. Statuses: SW_INPUT with every fault at its place.
 * Source of the figures: pooled least squares within groups (Draper and Smith, Applied Regression
 * Analysis, 2.; NIST/SEMATECH e-Handbook 2.3.4.4 for the pooling of variances by their degrees of
 * freedom); that gauge and lathe add by their squares: JCGM 100:2008 5.1.2.
 */
#ifndef SW_GAUGE_LOG_H
#define SW_GAUGE_LOG_H

#include "gauge/correct.h"

struct sw_log_entry {
    struct sw_text set, tool, section;
    struct sw_number side, station, piece;
    struct sw_number expected, found;
    struct sw_number added; /* to X since the first piece of the set, on radius */
    struct sw_number doubt; /* of the gauge, 95 of 100 */
};

struct sw_log {
    const char *file;
    struct sw_text shop;
    struct sw_list entries; /* struct sw_log_entry */
};

extern const struct sw_table sw_log_table;

enum sw_status sw_log_parse(struct sw_log **out, const char *path, const char *text, size_t size,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** What is to be logged of a correction. */
struct sw_log_news {
    const struct sw_correction *correction;
    const char *set, *shop;
    const char *const *tool; /* name by cut */
    const char *const *section;
};

/** TEXT (size 0: a new log) with a line for each turned reading that it does not have yet, at its
 *  end; all that stands in it is kept as it is. *N_ADDED and *N_KNOWN count readings. SW_INPUT when
 *  TEXT is no log, or of another shop, or its entries do not end it. */
enum sw_status sw_log_grown(struct sw_buf *out, size_t *n_added, size_t *n_known, const char *path,
                            const char *text, size_t size, const struct sw_log_news *news,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Of the sections asked for. */
struct sw_log_figures {
    size_t n_readings, n_pieces, n_sets; /* in groups of three readings and more; 0: none */
    bool is_known;                       /* enough of them to say the rest */
    bool shows_repeat;   /* scatter beyond the gauge's own is told from nothing */
    double repeat;       /* standard deviation of the radius a piece, the gauge's share taken out */
    double wear, u_wear; /* growth of the diameter a piece */
    double gauge;        /* standard uncertainty of a reading */
};

/** Figures of the entries of N sections by name: one slope and one scatter for all groups. */
void sw_log_reckon(struct sw_log_figures *out, const struct sw_log *log, const char *const *section,
                   size_t n);

#endif
