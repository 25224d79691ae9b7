/* raw: a staff file as its field tables fill it, and what the files of part share; nobody else
 * includes it.
 *
 * One record serves every kind of section; each table lists the keys that its kind knows.
 */
#ifndef SW_PART_RAW_H
#define SW_PART_RAW_H

#include "base/num.h"
#include "part/staff.h"
#include "part/survey.h"

struct raw_recess {
    struct sw_number lip;
    struct sw_number depth;
    struct sw_number wall;
};

struct raw_relief {
    struct sw_number width;
    struct sw_number depth;
    struct sw_number flank;
    struct sw_number corner;
};

struct raw_section {
    struct sw_text name;
    struct sw_number length;
    struct sw_number diameter; /* nominal */
    struct sw_band tolerance;
    struct sw_band length_tolerance;
    struct sw_choice finish;
    struct sw_number take;
    struct sw_number corner;
    struct raw_relief relief; /* there when its `width` is given */
    struct sw_number edge;
    struct sw_choice tip; /* pivot: dome, flat */
    struct sw_number dome_height;
    struct sw_number tip_corner;
    struct sw_choice form; /* cone */
    struct sw_number ridge;
    struct sw_number radius;
    struct sw_number root; /* back slope */
    struct sw_choice at;   /* seat: enum raw_end */
    struct sw_number taper;
    struct sw_number bevel;
    struct sw_choice takes;
    struct sw_number height;  /* rivet */
    struct raw_recess recess; /* there when its `lip` is given */
    struct sw_number land;    /* hub */
    struct sw_number underside;
    struct sw_choice land_at;
    struct sw_number upper_diameter; /* taper */
    struct sw_number lower_diameter;
    struct sw_number depth; /* groove */
    struct sw_number flank;
};

enum raw_end { RAW_HUB, RAW_UPPER, RAW_LOWER };

struct raw_height {
    struct sw_text name;
    struct sw_number at;
    struct sw_band tolerance;
};

struct raw_jewel {
    struct sw_number hole;
    struct sw_number thickness;
};

struct raw_jewels {
    struct raw_jewel upper;
    struct raw_jewel lower;
    struct sw_number between_endstones;
};

struct raw_tolerance {
    struct sw_band diameter;
    struct sw_band length;
};

struct raw_total {
    struct sw_number length;
    struct sw_band tolerance;
};

struct raw_staff {
    struct sw_text name;
    struct sw_text material;
    struct sw_choice blank;
    struct raw_tolerance tolerance;
    struct sw_choice finish;
    struct raw_total total;
    struct sw_list heights;  /* struct raw_height */
    struct sw_list sections; /* struct sw_variant of struct raw_section */
    struct raw_jewels jewels;
    struct sw_parts_raw parts;
};

/** A staff being built. */
struct part_build {
    struct sw_staff *staff;
    const struct raw_staff *raw;
    const struct raw_section *const *from; /* of each section */
    struct sw_ctx *ctx;
    bool is_wrong;  /* shape or sense */
    bool is_misfit; /* sound, but does not fit its parts */
};

/** Report an error: PART_FAULT(build, code, at, hint, format, ...). */
#define PART_FAULT(build, ...)                                                                     \
    ((build)->is_wrong = true, sw_diag_add((build)->ctx->diag, SW_ERROR, __VA_ARGS__))

/** A size as shown to people: up to six places, trailing zeros cut. */
struct part_mm {
    char text[SW_NUM_SIZE];
};
struct part_mm part_mm(double value);
#define PART_MM(value) (part_mm(value).text)

/** The place of a number, or of its section's key when it was not given. */
struct sw_span part_place(const struct sw_section *section, struct sw_number number);

/** Order of sections and which way each points. */
void part_check_order(struct part_build *build);

/** Names, unique; needs the core. SW_MEMORY or SW_OK. */
enum sw_status part_name_sections(struct part_build *build) SW_MUST_CHECK;

/** Heights, lengths and places along the axis. SW_MEMORY or SW_OK. */
enum sw_status part_close_chains(struct part_build *build) SW_MUST_CHECK;

/** Radii of all sections, and the sense of their sizes; needs order and places. */
void part_set_radii(struct part_build *build);
void part_check_sizes(struct part_build *build);

/** The relief groove of section I, if it has one, and what goes over relief grooves. */
void part_check_relief(struct part_build *build, size_t i);
void part_check_relief_fit(struct part_build *build);

/** Jewels, and sizes unusual in the trade. */
void part_check_fit(struct part_build *build);
void part_check_usual(struct part_build *build);

#endif
