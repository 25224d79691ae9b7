/* shop: what the workshop owns: machine, tools by station, holders, stock, materials, habits.
 *
 * Names in a shop file are files: looked up beside the naming file, then in the profiles folders
 * (profiles/machines, tools, holders, materials, shops); the suffix .yaml may be left out.
 * Ownership: everything lives in the context. Statuses as machine.h; a named file that is not
 * there: SW_UNREADABLE.
 */
#ifndef SW_SHOP_SHOP_H
#define SW_SHOP_SHOP_H

#include "shop/bench.h"
#include "shop/machine.h"
#include "shop/tool.h"

enum sw_material_state { SW_STATE_ANNEALED, SW_STATE_TEMPERED, SW_STATE_HARDENED };

struct sw_material {
    const char *file;
    struct sw_text name;
    struct sw_text says;              /* one line shown in `list materials` */
    struct sw_choice state;
    struct sw_number elastic_modulus; /* MPa */
    struct sw_number poisson;
    struct sw_number density;         /* g/cm3 */
    struct sw_number yield;           /* MPa */
    struct sw_number tensile;         /* MPa */
    struct sw_number specific_force;  /* kc1.1 [MPa]: chip 1 mm by 1 mm */
    struct sw_number force_exponent;  /* mc */
    struct sw_number least_chip;      /* smallest chip as a share of the edge radius */
    struct sw_number surface_speed;   /* m/min, most with carbide */
    struct sw_choice has_lead;        /* truth: for the cautions */
};

enum sw_holder_kind {
    SW_HOLDER_COLLET,
    SW_HOLDER_STEP,
    SW_HOLDER_BORED_IN_PLACE,
    SW_HOLDER_CEMENT
};

struct sw_holder {
    const char *file;
    struct sw_text name;
    struct sw_choice kind;          /* enum sw_holder_kind */
    struct sw_list sizes;           /* struct sw_number: nominal bores, growing; bored-in-place and
                                       cement: none */
    struct sw_number under;         /* grips down to size - under [mm] */
    struct sw_number over;          /* and up to size + over [mm] */
    struct sw_number least;         /* bored-in-place, cement: smallest and largest diameter */
    struct sw_number most;
    struct sw_number runout;        /* total, close to the nose [mm] */
    struct sw_number least_grip;    /* shortest length that holds [mm] */
    struct sw_number most_grip;     /* depth of the bore at size: longest length held [mm] */
    struct sw_number bore_behind;   /* clear diameter behind the grip, for what hangs inside */
    struct sw_number nose_diameter; /* of the front face [mm] */
    struct sw_number nose_angle;    /* half-angle of the nose's cone behind its face [rad] */
    struct sw_number nose_length;   /* of that cone [mm] */
    struct sw_number compliance;    /* of the grip itself, sideways at the nose face [um/N] */
    struct sw_number tilt;          /* of the work in it under a moment [urad/(N mm)] */
    struct sw_number closing_loses; /* end of a bar behind its stop after closing, at most [mm] */
    struct sw_choice is_draw_in;    /* truth: closing pulls the work back */
};

struct sw_stock {
    struct sw_text material;
    struct sw_number diameter; /* mm */
    struct sw_number length;   /* mm */
    struct sw_number under;    /* the rod may be this much under its diameter [mm] */
    struct sw_number straightness; /* bow of the rod over a metre [mm] */
    const struct sw_material *is; /* resolved */
};

struct sw_fitted_tool {
    struct sw_number station;
    struct sw_text tool;
    const struct sw_tool *is; /* resolved */
};

/** What is left on the machine for hand work. */
struct sw_leave {
    struct sw_number stone;   /* off the diameter of a stoned seat [mm] */
    struct sw_number burnish; /* off the diameter of a burnished pivot [mm] */
    struct sw_number tip;     /* off each tip, on length [mm] */
};

struct sw_shop {
    const char *file;
    struct sw_text name;
    struct sw_text machine_name;
    struct sw_text post;        /* dialect by name */
    struct sw_list tools;       /* struct sw_fitted_tool */
    struct sw_list holder_names; /* struct sw_text */
    struct sw_list stock;       /* struct sw_stock */
    struct sw_leave leave;
    struct sw_number safety;    /* factor against yield */
    struct sw_number clearance; /* distance kept from stock in rapid moves [mm] */
    struct sw_number centre_height; /* tool points stand within this above or below the axis [mm] */
    struct sw_number tail_free; /* longest bar tail allowed free behind the spindle [mm] */
    struct sw_list measuring;   /* struct sw_text: gauges it owns, for the sheet */
    struct sw_list zeroing;     /* struct sw_text: aids for zeroing */
    struct sw_shop_bench bench;
    const struct sw_machine *machine;       /* resolved */
    const struct sw_holder *const *holders; /* resolved */
    size_t n_holders;
};

extern const struct sw_table sw_shop_table, sw_holder_table, sw_material_table;

/** Where named files are looked for after the naming file's folder: a NULL-ended list of profile
 *  roots (each with machines/, tools/, holders/, materials/, shops/ below). */
struct sw_search {
    const char *const *roots;
};

/** Find the file NAME of a KIND folder ("tools"): beside NEAR_FILE, then in the roots. NEAR_FILE
 *  itself never answers (a shop may be named like its machine). A NAME with a slash is a path,
 *  seen from the folder of NEAR_FILE, and is looked for nowhere else. The path lives in the
 *  context; SW_UNREADABLE with a diagnostic at AT that lists where it looked and the nearest name
 *  that is there. */
enum sw_status sw_shop_find(const char **path, const char *name, const char *kind,
                            const char *near_file, const struct sw_search *search,
                            struct sw_span at, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Read a shop and all it names, and check that they hold together: stations that exist, tools
 *  fitted once, a control that needs what the machine has. */
enum sw_status sw_shop_load(struct sw_shop **out, const char *path, const struct sw_search *search,
                            struct sw_ctx *ctx) SW_MUST_CHECK;
enum sw_status sw_holder_load(struct sw_holder **out, const char *path,
                              struct sw_ctx *ctx) SW_MUST_CHECK;
enum sw_status sw_material_load(struct sw_material **out, const char *path,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** The tool fitted at a station, or NULL. */
const struct sw_tool *sw_shop_tool(const struct sw_shop *shop, int station);

/** The size a holder would be used at for a diameter [mm]; 0: it does not take it. Of two sizes
 *  that take it the nearer, of two equally near the larger; bored-in-place and cement: the diameter
 *  itself. */
double sw_holder_size_for(const struct sw_holder *holder, double diameter);

#endif
