/* Files to spoil, one of each kind of the module `shop`, and the means to see what is said then. */
#ifndef SW_TESTS_SHOP_FAULTS_H
#define SW_TESTS_SHOP_FAULTS_H

#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "shop/job.h"
#include "shop/shop.h"

static const char machine_text[] = "format: machine/1\n"
                                   "name: trial lathe\n"
                                   "travel_x: [-60, 0]\n"
                                   "travel_z: [-80, 0]\n"
                                   "rapid: {x: 1200, z: 1200}\n"
                                   "acceleration: {x: 250, z: 250}\n"
                                   "step: {x: 0.0005, z: 0.0005}\n"
                                   "backlash: {x: 0.003, z: 0.003}\n"
                                   "repeatability: 0.001\n"
                                   "compliance: 0.5\n"
                                   "spindle: {least_speed: 200, most_speed: 8000, bore: 8, "
                                   "length: 180, runout: 0.002, torque: 0.2, power: 200, "
                                   "start_time: 2}\n"
                                   "change: gang\n"
                                   "change_repeat: 0.001\n"
                                   "stations:\n"
                                   "  - {number: 1}\n"
                                   "  - {number: 2, at: {x: 20, z: -15}}\n"
                                   "control:\n"
                                   "  x: radius\n"
                                   "  arcs: yes\n";

static const char point_text[] = "format: tool/1\n"
                                 "name: trial point\n"
                                 "kind: point\n"
                                 "hand: right\n"
                                 "nose_radius: 0.02\n"
                                 "cutting_angle: 93\n"
                                 "point_angle: 35\n"
                                 "edge_length: 1.5\n"
                                 "edge_radius: 0.002\n"
                                 "point: theoretical-tip\n"
                                 "touched: headstock-side\n"
                                 "most_depth: 0.05\n"
                                 "rough_depth: 0.02\n"
                                 "finish_depth: 0.005\n"
                                 "rough_feed: 0.004\n"
                                 "finish_feed: 0.002\n"
                                 "surface_speed: 80\n"
                                 "holder: {clear: 3.5, ahead: 1, behind: 8}\n";

static const char blade_text[] = "format: tool/1\n"
                                 "name: trial blade\n"
                                 "kind: blade\n"
                                 "nose_radius: 0.02\n"
                                 "width: 0.5\n"
                                 "clearance: 1\n"
                                 "reach: 3\n"
                                 "edge_radius: 0.004\n"
                                 "point: theoretical-tip\n"
                                 "rough_feed: 0.004\n"
                                 "finish_feed: 0.002\n"
                                 "surface_speed: 60\n"
                                 "holder: {clear: 3.5, ahead: 1, behind: 8}\n";

static const char face_text[] = "format: tool/1\n"
                                "name: trial face point\n"
                                "kind: face-point\n"
                                "nose_radius: 0.012\n"
                                "clearance: 3\n"
                                "point_angle: 20\n"
                                "reach: 0.5\n"
                                "relief: 12\n"
                                "heel_height: 0.15\n"
                                "edge_radius: 0.002\n"
                                "point: theoretical-tip\n"
                                "rough_feed: 0.002\n"
                                "finish_feed: 0.001\n"
                                "surface_speed: 80\n"
                                "holder: {clear: 6, ahead: 0.2, behind: 6}\n";

static const char material_text[] = "format: material/1\n"
                                    "name: trial steel\n"
                                    "says: for trials\n"
                                    "state: tempered\n"
                                    "elastic_modulus: 206000\n"
                                    "density: 7.85\n"
                                    "yield: 1500\n"
                                    "tensile: 1700\n"
                                    "specific_force: 2500\n"
                                    "force_exponent: 0.24\n"
                                    "surface_speed: 20\n";

static const char holder_text[] = "format: holder/1\n"
                                  "name: trial collets\n"
                                  "kind: collet\n"
                                  "sizes: [1.0, 2.0, 3.0]\n"
                                  "under: 0.03\n"
                                  "over: 0.01\n"
                                  "runout: 0.008\n"
                                  "least_grip: 3\n"
                                  "most_grip: 12\n"
                                  "bore_behind: 5\n"
                                  "nose_diameter: 6\n"
                                  "nose_length: 3\n";

static const char shop_text[] = "format: shop/1\n"
                                "name: trial shop\n"
                                "machine: lathe\n"
                                "post: strict\n"
                                "tools:\n"
                                "  - {station: 1, tool: point}\n"
                                "  - {station: 2, tool: blade}\n"
                                "holders: [collets]\n"
                                "stock:\n"
                                "  - {material: steel, diameter: 2.0, length: 100}\n"
                                "  - {material: steel, diameter: 3.0, length: 100}\n";

static const char job_text[] = "format: job/1\n"
                               "staff: fenmoor.yaml\n"
                               "shop: trial\n"
                               "parting: to-neck\n"
                               "neck: 0.25\n";

enum kind { MACHINE, POINT, BLADE, FACE, MATERIAL, HOLDER, SHOP, JOB };

/* The file of each kind; a shop stands beside all the things it names. */
static const struct {
    const char *file;
    const char *text;
} files[] = {{"lathe.yaml", machine_text},  {"point.yaml", point_text},
             {"blade.yaml", blade_text},    {"face.yaml", face_text},
             {"steel.yaml", material_text}, {"collets.yaml", holder_text},
             {"shop.yaml", shop_text},      {"job.yaml", job_text}};

static char folder[] = "/tmp/sw-shop-XXXXXX";

static const char *path_of(struct sw_ctx *ctx, const char *file)
{
    const char *path = sw_arena_printf(ctx->arena, "%s/%s", folder, file);
    assert_non_null(path);
    return path;
}

static void write_file(struct sw_ctx *ctx, const char *file, const char *text)
{
    FILE *to = fopen(path_of(ctx, file), "w");
    assert_non_null(to);
    assert_true(fputs(text, to) >= 0);
    assert_int_equal(fclose(to), 0);
}

/* TEXT with the first FROM turned into TO. */
static const char *changed(struct sw_ctx *ctx, const char *text, const char *from, const char *to)
{
    const char *at = strstr(text, from);
    if (!at)
        print_error("no `%s` in the text\n", from);
    assert_non_null(at);
    return sw_arena_printf(ctx->arena, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
}

static enum sw_status load(enum kind kind, struct sw_ctx *ctx)
{
    const char *path = path_of(ctx, files[kind].file);
    union {
        struct sw_machine *machine;
        struct sw_tool *tool;
        struct sw_material *material;
        struct sw_holder *holder;
        struct sw_shop *shop;
        struct sw_job *job;
    } thing = {NULL};
    switch (kind) {
    case MACHINE:
        return sw_machine_load(&thing.machine, path, ctx);
    case POINT:
    case BLADE:
    case FACE:
        return sw_tool_load(&thing.tool, path, ctx);
    case MATERIAL:
        return sw_material_load(&thing.material, path, ctx);
    case HOLDER:
        return sw_holder_load(&thing.holder, path, ctx);
    case SHOP:
        return sw_shop_load(&thing.shop, path, NULL, ctx);
    case JOB:
        break;
    }
    return sw_job_load(&thing.job, path, ctx);
}

/* "lathe.yaml:3:12 error code: message", one record a line. */
static const char *records(struct sw_ctx *ctx)
{
    static const char *const severities[] = {"note", "warning", "error"};
    const char *text = "";
    for (size_t i = 0; i < sw_diag_n(ctx->diag); i++) {
        const struct sw_diag_record *record = sw_diag_at(ctx->diag, i);
        const char *source = sw_diag_source_name(ctx->diag, record->at.source);
        const char *name = source ? source : "?";
        const char *slash = strrchr(name, '/');
        text = sw_arena_printf(ctx->arena, "%s%s:%u:%u %s %s: %s\n", text, slash ? slash + 1 : name,
                               (unsigned)record->at.line, (unsigned)record->at.column,
                               severities[record->severity], record->code, record->message);
        assert_non_null(text);
    }
    return text;
}

static void assert_records(struct sw_ctx *ctx, const char *wanted)
{
    const char *got = records(ctx);
    if (strcmp(got, wanted) != 0)
        print_error("got:\n%swanted:\n%s", got, wanted);
    assert_string_equal(got, wanted);
}

struct fault {
    enum kind load;   /* what is loaded */
    enum kind change; /* which of its files is spoilt */
    const char *from;
    const char *to;
    const char *wanted;
};

static inline void check_fault(const struct fault *fault)
{
    struct sw_ctx ctx = sw_test_ctx();
    write_file(&ctx, files[fault->change].file,
               changed(&ctx, files[fault->change].text, fault->from, fault->to));
    const enum sw_status status = load(fault->load, &ctx);
    assert_records(&ctx, fault->wanted);
    assert_int_equal(status, sw_diag_n_errors(ctx.diag) > 0 ? SW_INPUT : SW_OK);
    write_file(&ctx, files[fault->change].file, files[fault->change].text);
    sw_test_ctx_free(&ctx);
}

#define CHECK_ALL(faults)                                                                          \
    for (size_t i = 0; i < sizeof(faults) / sizeof *(faults); i++)                                 \
    check_fault(&(faults)[i])

static inline int make_folder(void **state)
{
    (void)state;
    if (!mkdtemp(folder))
        return -1;
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        write_file(&ctx, files[i].file, files[i].text);
    sw_test_ctx_free(&ctx);
    return 0;
}

static inline int remove_folder(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        unlink(path_of(&ctx, files[i].file));
    sw_test_ctx_free(&ctx);
    return rmdir(folder);
}

#endif
