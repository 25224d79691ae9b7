#include "report/json.h"

#include <math.h>
#include <string.h>

#include "report/json_set.h"

/* A millionth of a millimetre: below what the judge resolves, above the noise of doubles. */
enum { DECIMALS = 6, DIGITS = 12 };

static const char record_name[] = "record.json";

static json_t *number_or_null(double value)
{
    return sw_json_number(value, DECIMALS);
}

static json_t *pair(struct sw_bounds bounds)
{
    if (!isfinite(bounds.least) || !isfinite(bounds.most))
        return json_null();
    json_t *array = json_array();
    bool good = array;
    sw_json_append(array, &good, number_or_null(bounds.least));
    sw_json_append(array, &good, number_or_null(bounds.most));
    if (!good) {
        json_decref(array);
        return NULL;
    }
    return array;
}

static json_t *program_json(const struct sw_program_verdict *program,
                            const struct sw_report_hash *hash)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "file", json_string(program->file));
    sw_json_set(object, &good, "sha256", json_string(hash->sha256));
    sw_json_set(object, &good, "chucking", json_integer(program->chucking));
    sw_json_set(object, &good, "blocks", json_integer((json_int_t)program->n_blocks));
    sw_json_set(object, &good, "moves", json_integer((json_int_t)program->n_moves));
    sw_json_set(object, &good, "seconds", number_or_null(program->seconds));
    sw_json_set(object, &good, "removed_mm3", number_or_null(program->removed_mm3));
    return sw_json_whole(object, good);
}

static json_t *finding_json(const struct sw_finding *finding)
{
    static const char *const severity[] = {"note", "warning", "error"};
    json_t *at = json_object();
    bool good = at;
    sw_json_set(at, &good, "program", sw_json_text(finding->program));
    sw_json_set(at, &good, "line", sw_json_count(finding->line));
    sw_json_set(at, &good, "column", sw_json_count(finding->column));
    sw_json_set(at, &good, "chucking",
                finding->chucking > 0 ? json_integer(finding->chucking) : json_null());
    sw_json_set(at, &good, "section", sw_json_text(finding->section));
    sw_json_set(at, &good, "z", number_or_null(finding->z));
    at = sw_json_whole(at, good);

    json_t *object = json_object();
    good = object;
    sw_json_set(object, &good, "code", json_string(sw_finding_word(finding->code)));
    sw_json_set(object, &good, "severity", json_string(severity[finding->severity]));
    sw_json_set(object, &good, "message", json_string(finding->message));
    sw_json_set(object, &good, "value", number_or_null(finding->value));
    sw_json_set(object, &good, "limit", number_or_null(finding->limit));
    sw_json_set(object, &good, "unit",
                sw_json_text(finding->unit && *finding->unit ? finding->unit : NULL));
    sw_json_set(object, &good, "at", at);
    return sw_json_whole(object, good);
}

static json_t *load_json(const struct sw_section_load *load)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "slenderness", number_or_null(load->slenderness));
    sw_json_set(object, &good, "um_per_n", number_or_null(load->um_per_n));
    sw_json_set(object, &good, "mpa_per_n", number_or_null(load->mpa_per_n));
    sw_json_set(object, &good, "load_n", number_or_null(load->load_n));
    sw_json_set(object, &good, "load_high_n", number_or_null(load->load_high_n));
    sw_json_set(object, &good, "program", sw_json_text(load->program));
    sw_json_set(object, &good, "line", sw_json_count(load->line));
    sw_json_set(object, &good, "stress_mpa", number_or_null(load->stress_mpa));
    sw_json_set(object, &good, "safety", number_or_null(load->safety));
    return sw_json_whole(object, good);
}

static json_t *move_json(struct sw_move move)
{
    return pair((struct sw_bounds){move.down, move.up});
}

/* Where the size may move, cause by cause [um]. */
static json_t *moves_json(const struct sw_section_moves *moves)
{
    json_t *causes = json_array();
    bool good = causes;
    for (size_t i = 0; i < SW_N_MOVERS; i++) {
        json_t *object = json_object();
        bool is_whole = object;
        sw_json_set(object, &is_whole, "cause", json_string(sw_mover_word((enum sw_mover)i)));
        sw_json_set(object, &is_whole, "plain_um", move_json(moves->plain[i]));
        sw_json_set(object, &is_whole, "gauged_um", move_json(moves->gauged[i]));
        sw_json_append(causes, &good, sw_json_whole(object, is_whole));
    }
    causes = sw_json_whole(causes, good);
    json_t *object = json_object();
    good = object;
    sw_json_set(object, &good, "is_gauged", json_boolean(moves->is_gauged));
    sw_json_set(object, &good, "plain_um", move_json(moves->plain_sum));
    sw_json_set(object, &good, "gauged_um", move_json(moves->gauged_sum));
    sw_json_set(object, &good, "runs_out_um", number_or_null(moves->runs_out_um));
    sw_json_set(object, &good, "causes", causes);
    return sw_json_whole(object, good);
}

static json_t *section_json(const struct sw_section_verdict *section)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "name", json_string(section->name));
    sw_json_set(object, &good, "nominal_mm", number_or_null(section->nominal_mm));
    sw_json_set(object, &good, "lower_mm", number_or_null(section->lower_mm));
    sw_json_set(object, &good, "upper_mm", number_or_null(section->upper_mm));
    sw_json_set(object, &good, "turned_mm", number_or_null(section->turned_mm));
    sw_json_set(object, &good, "measure_z_mm", number_or_null(section->measure_z_mm));
    sw_json_set(object, &good, "size_mm", pair(section->size_mm));
    sw_json_set(object, &good, "length_mm", pair(section->length_mm));
    sw_json_set(object, &good, "gouge_um", number_or_null(section->gouge_um));
    sw_json_set(object, &good, "gouge_limit_um", number_or_null(section->gouge_limit_um));
    sw_json_set(object, &good, "left_um", number_or_null(section->left_um));
    sw_json_set(object, &good, "left_limit_um", number_or_null(section->left_limit_um));
    sw_json_set(object, &good, "predicted_mm", pair(section->predicted_mm));
    sw_json_set(object, &good, "predicted_nominal_mm",
                number_or_null(section->predicted_nominal_mm));
    sw_json_set(object, &good, "moves", moves_json(&section->moves));
    sw_json_set(object, &good, "load", load_json(&section->load));
    return sw_json_whole(object, good);
}

/* The section where a depth is largest; null when there is none. */
static json_t *worst_json(const struct sw_verdict *verdict, bool is_gouge)
{
    const struct sw_section_verdict *worst = NULL;
    double depth = 0;
    for (size_t i = 0; i < verdict->n_sections; i++) {
        const struct sw_section_verdict *section = &verdict->section[i];
        const double here = is_gouge ? section->gouge_um : section->left_um;
        if (isfinite(here) && (!worst || here > depth)) {
            worst = section;
            depth = here;
        }
    }
    if (!worst)
        return json_null();
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "um", number_or_null(depth));
    sw_json_set(object, &good, "section", json_string(worst->name));
    return sw_json_whole(object, good);
}

/* Where a load was worst, its figure by two names; null when there was none. */
static json_t *worst_load_json(const struct sw_verdict_worst *worst, const char *nominal,
                               const char *high)
{
    if (!isfinite(worst->high))
        return json_null();
    json_t *at = json_object();
    bool good = at;
    sw_json_set(at, &good, "program", sw_json_text(worst->program));
    sw_json_set(at, &good, "line", sw_json_count(worst->line));
    sw_json_set(at, &good, "section", sw_json_text(worst->section));
    sw_json_set(at, &good, "z", number_or_null(worst->z));
    at = sw_json_whole(at, good);
    json_t *object = json_object();
    good = object;
    sw_json_set(object, &good, nominal, number_or_null(worst->nominal));
    sw_json_set(object, &good, high, number_or_null(worst->high));
    sw_json_set(object, &good, "at", at);
    return sw_json_whole(object, good);
}

static json_t *slenderest_json(const struct sw_verdict *verdict)
{
    if (verdict->n_sections == 0)
        return json_null();
    const struct sw_section_verdict *section = &verdict->section[verdict->slenderest];
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "ratio", number_or_null(section->load.slenderness));
    sw_json_set(object, &good, "section", json_string(section->name));
    return sw_json_whole(object, good);
}

static int add_bytes(const char *bytes, size_t size, void *out)
{
    sw_buf_addn(out, bytes, size);
    return ((struct sw_buf *)out)->failed ? -1 : 0;
}

/* Writes and drops ROOT. */
static enum sw_status dump(struct sw_buf *out, json_t *root, bool good)
{
    good = good && json_dump_callback(root, add_bytes, out,
                                      JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    sw_buf_add(out, "\n");
    json_decref(root);
    return good && !out->failed ? SW_OK : SW_MEMORY;
}

static json_t *outline_json(const struct sw_verdict *verdict)
{
    if (verdict->outline.n == 0)
        return json_null();
    json_t *array = json_array();
    bool good = array;
    for (size_t i = 0; i < verdict->outline.n; i++) {
        json_t *object = json_object();
        bool is_whole = object;
        sw_json_set(object, &is_whole, "z", number_or_null(verdict->outline.at[i].z));
        sw_json_set(object, &is_whole, "diameter_mm", number_or_null(2 * verdict->outline.at[i].r));
        sw_json_append(array, &good, sw_json_whole(object, is_whole));
    }
    return sw_json_whole(array, good);
}

static json_t *piece_json(const struct sw_piece_verdict *piece, size_t i)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "piece", json_integer((json_int_t)i + 1));
    sw_json_set(object, &good, "setup", json_string(piece->name));
    sw_json_set(object, &good, "verdict", json_string(piece->passes ? "pass" : "fail"));
    sw_json_set(object, &good, "program", sw_json_text(piece->program));
    sw_json_set(object, &good, "line", sw_json_count(piece->line));
    sw_json_set(object, &good, "pause_line", sw_json_count(piece->pause));
    sw_json_set(object, &good, "end_line", sw_json_count(piece->end));
    sw_json_set(object, &good, "cut_as", json_integer((json_int_t)piece->as + 1));
    sw_json_set(object, &good, "bar_mm", number_or_null(piece->bar_mm));
    sw_json_set(object, &good, "gripped_mm", number_or_null(piece->gripped_mm));
    sw_json_set(object, &good, "used_mm", number_or_null(piece->used_mm));
    return sw_json_whole(object, good);
}

static json_t *pieces_json(const struct sw_verdict *verdict)
{
    json_t *array = json_array();
    bool good = array;
    for (size_t i = 0; i < verdict->piece.n; i++)
        sw_json_append(array, &good, piece_json(&verdict->piece.at[i], i));
    return sw_json_whole(array, good);
}

enum sw_status sw_report_dryrun_json(struct sw_buf *out, const struct sw_verdict *verdict,
                                     const struct sw_report_hash *hash, const char *version)
{
    json_t *programs = json_array(), *findings = json_array(), *sections = json_array();
    bool good = programs && findings && sections;
    for (size_t i = 0; i < verdict->n_programs; i++)
        sw_json_append(programs, &good, program_json(&verdict->program[i], &hash[i]));
    for (size_t i = 0; i < verdict->findings.n; i++)
        sw_json_append(findings, &good, finding_json(&verdict->findings.at[i]));
    for (size_t i = 0; i < verdict->n_sections; i++)
        sw_json_append(sections, &good, section_json(&verdict->section[i]));

    json_t *worst = json_object();
    good = worst && good;
    sw_json_set(worst, &good, "gouge", worst_json(verdict, true));
    sw_json_set(worst, &good, "left", worst_json(verdict, false));
    sw_json_set(worst, &good, "deflection",
                worst_load_json(&verdict->deflection_um, "um", "high_um"));
    sw_json_set(worst, &good, "stress", worst_load_json(&verdict->stress_mpa, "mpa", "high_mpa"));
    sw_json_set(worst, &good, "safety", worst_load_json(&verdict->safety, "nominal", "least"));
    sw_json_set(worst, &good, "slenderness", slenderest_json(verdict));

    json_t *root = json_object();
    good = root && good;
    sw_json_set(root, &good, "format", json_string("staffwright.dryrun/1"));
    sw_json_set(root, &good, "version", json_string(version));
    sw_json_set(root, &good, "verdict", json_string(verdict->passes ? "pass" : "fail"));
    sw_json_set(root, &good, "programs", programs);
    sw_json_set(root, &good, "findings", findings);
    sw_json_set(root, &good, "sections", sections);
    if (verdict->piece.n > 0)
        sw_json_set(root, &good, "pieces", pieces_json(verdict));
    sw_json_set(root, &good, "total_length_mm",
                pair((struct sw_bounds){verdict->length_least_mm, verdict->length_most_mm}));
    sw_json_set(root, &good, "outline", outline_json(verdict));
    sw_json_set(root, &good, "worst", worst);
    sw_json_set(root, &good, "resolution_um", number_or_null(verdict->resolution_um));
    return dump(out, root, good);
}

enum sw_status sw_report_list_json(struct sw_buf *out, const char *kind,
                                   const struct sw_report_items *items, const char *version)
{
    json_t *array = json_array();
    bool good = array;
    for (size_t i = 0; i < items->n; i++) {
        json_t *object = json_object();
        bool is_whole = object;
        sw_json_set(object, &is_whole, "name", json_string(items->at[i].name));
        sw_json_set(object, &is_whole, "says", sw_json_text(items->at[i].says));
        sw_json_append(array, &good, sw_json_whole(object, is_whole));
    }
    json_t *root = json_object();
    good = root && good;
    sw_json_set(root, &good, "format", json_string("staffwright.list/1"));
    sw_json_set(root, &good, "version", json_string(version));
    sw_json_set(root, &good, "kind", json_string(kind));
    sw_json_set(root, &good, "items", array);
    return dump(out, root, good);
}

static json_t *hash_json(const struct sw_report_hash *hash)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "file", json_string(hash->file));
    sw_json_set(object, &good, "sha256", json_string(hash->sha256));
    return sw_json_whole(object, good);
}

static json_t *hashes_json(const struct sw_report_hash *hash, size_t n)
{
    json_t *array = json_array();
    bool good = array;
    for (size_t i = 0; i < n; i++)
        sw_json_append(array, &good, hash_json(&hash[i]));
    return sw_json_whole(array, good);
}

enum sw_status sw_report_record_json(struct sw_buf *out, const struct sw_report_record *record)
{
    json_t *files = json_array();
    bool good = files;
    for (size_t i = 0; i < record->n_files; i++)
        sw_json_append(files, &good, json_string(record->file[i].file));
    sw_json_append(files, &good, json_string(record_name));

    json_t *root = json_object();
    good = root && good;
    sw_json_set(root, &good, "format", json_string("staffwright.record/1"));
    sw_json_set(root, &good, "version", json_string(record->version));
    sw_json_set(root, &good, "verdict", json_string(record->passes ? "pass" : "fail"));
    sw_json_set(root, &good, "files", files);
    sw_json_set(root, &good, "setup", json_string(record->setup));
    sw_json_set(root, &good, "outputs", hashes_json(record->file, record->n_files));
    sw_json_set(root, &good, "inputs", hashes_json(record->input, record->n_inputs));
    return dump(out, root, good);
}

static enum sw_status bad_record(const char *name, const char *what, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "record.shape", (struct sw_span){0},
                "give the folder as `make` wrote it, or the programs with --job or --setup",
                "%s: %s", name, what);
    return SW_INPUT;
}

static enum sw_status read_hashes(struct sw_report_hash **out, size_t *n, const json_t *array,
                                  const char *name, struct sw_ctx *ctx)
{
    if (!json_is_array(array))
        return bad_record(name, "the record lacks a list of files", ctx);
    *n = json_array_size(array);
    *out = SW_NEW(ctx->arena, struct sw_report_hash, *n);
    if (!*out)
        return SW_MEMORY;
    for (size_t i = 0; i < *n; i++) {
        const json_t *item = json_array_get(array, i);
        const char *file = json_string_value(json_object_get(item, "file"));
        const char *sha256 = json_string_value(json_object_get(item, "sha256"));
        if (!file || !sha256)
            return bad_record(name, "the record lists a file without a name or a SHA-256", ctx);
        (*out)[i].file = sw_arena_copy(ctx->arena, file, strlen(file));
        (*out)[i].sha256 = sw_arena_copy(ctx->arena, sha256, strlen(sha256));
        if (!(*out)[i].file || !(*out)[i].sha256)
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status read_record(struct sw_report_record *record, const json_t *root,
                                  const char *name, struct sw_ctx *ctx)
{
    const char *format = json_string_value(json_object_get(root, "format"));
    if (!format || strcmp(format, "staffwright.record/1") != 0)
        return bad_record(name, "this is no record of format staffwright.record/1", ctx);
    const char *version = json_string_value(json_object_get(root, "version"));
    const char *setup = json_string_value(json_object_get(root, "setup"));
    const char *verdict = json_string_value(json_object_get(root, "verdict"));
    if (!version || !setup || !verdict)
        return bad_record(name, "the record lacks its version, verdict or setup", ctx);
    record->version = sw_arena_copy(ctx->arena, version, strlen(version));
    record->setup = sw_arena_copy(ctx->arena, setup, strlen(setup));
    if (!record->version || !record->setup)
        return SW_MEMORY;
    record->passes = strcmp(verdict, "pass") == 0;
    SW_TRY(
        read_hashes(&record->file, &record->n_files, json_object_get(root, "outputs"), name, ctx));
    return read_hashes(&record->input, &record->n_inputs, json_object_get(root, "inputs"), name,
                       ctx);
}

enum sw_status sw_report_record_read(struct sw_report_record **out, const char *name,
                                     const char *text, size_t size, struct sw_ctx *ctx)
{
    struct sw_report_record *record = SW_NEW(ctx->arena, struct sw_report_record, 1);
    if (!record)
        return SW_MEMORY;
    json_error_t error;
    json_t *root = json_loadb(text, size, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        return json_error_code(&error) == json_error_out_of_memory
                   ? SW_MEMORY
                   : bad_record(name, "this is no JSON text", ctx);
    const enum sw_status status = read_record(record, root, name, ctx);
    json_decref(root);
    if (status == SW_OK)
        *out = record;
    return status;
}

static enum sw_status read_piece(struct sw_piece_verdict *piece, const json_t *item,
                                 struct sw_ctx *ctx)
{
    const char *program = json_string_value(json_object_get(item, "program"));
    const json_int_t as = json_integer_value(json_object_get(item, "cut_as"));
    if (!program || as < 1)
        return SW_INPUT;
    *piece = (struct sw_piece_verdict){
        .program = sw_arena_copy(ctx->arena, program, strlen(program)),
        .line = (uint32_t)json_integer_value(json_object_get(item, "line")),
        .pause = (uint32_t)json_integer_value(json_object_get(item, "pause_line")),
        .end = (uint32_t)json_integer_value(json_object_get(item, "end_line")),
        .as = (size_t)as - 1,
        .bar_mm = json_number_value(json_object_get(item, "bar_mm")),
        .gripped_mm = json_number_value(json_object_get(item, "gripped_mm")),
        .used_mm = json_number_value(json_object_get(item, "used_mm"))};
    return piece->program ? SW_OK : SW_MEMORY;
}

static enum sw_status read_run(struct sw_verdict *verdict, const json_t *root, struct sw_ctx *ctx)
{
    const json_t *programs = json_object_get(root, "programs");
    const json_t *pieces = json_object_get(root, "pieces");
    const size_t n_programs = json_array_size(programs), n = json_array_size(pieces);
    if (!n_programs || !n)
        return SW_INPUT;
    verdict->program = SW_NEW(ctx->arena, struct sw_program_verdict, n_programs);
    verdict->piece.at = SW_NEW(ctx->arena, struct sw_piece_verdict, n);
    if (!verdict->program || !verdict->piece.at)
        return SW_MEMORY;
    verdict->n_programs = n_programs;
    verdict->piece.n = verdict->piece.cap = n;
    for (size_t i = 0; i < n_programs; i++)
        verdict->program[i].seconds =
            json_number_value(json_object_get(json_array_get(programs, i), "seconds"));
    for (size_t i = 0; i < n; i++)
        SW_TRY(read_piece(&verdict->piece.at[i], json_array_get(pieces, i), ctx));
    return SW_OK;
}

enum sw_status sw_report_run_read(struct sw_verdict **out, const char *text, size_t size,
                                  struct sw_ctx *ctx)
{
    struct sw_verdict *verdict = SW_NEW(ctx->arena, struct sw_verdict, 1);
    json_error_t error;
    if (!verdict)
        return SW_MEMORY;
    json_t *root = json_loadb(text, size, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        return json_error_code(&error) == json_error_out_of_memory ? SW_MEMORY : SW_INPUT;
    const enum sw_status status = read_run(verdict, root, ctx);
    json_decref(root);
    if (status == SW_OK)
        *out = verdict;
    return status;
}
