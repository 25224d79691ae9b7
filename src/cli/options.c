#include "cli/options.h"

#include <string.h>

#include "report/text.h"
#include "spec/table.h"

const struct sw_option sw_options[SW_N_OPTIONS] = {
    [SW_OPTION_OUTPUT] =
        {"output", 'o', "PATH",
         SW_FOR_MAKE | SW_FOR_SIZE | SW_FOR_DRAW | SW_FOR_BATCH | SW_FOR_CORRECT,
         "Where to write: a folder (make, batch), a staff (size; - shows it), a drawing (draw), "
         "control charts (correct)."},
    [SW_OPTION_NO_WRITE] = {"no-write", 'n', NULL, SW_FOR_MAKE,
                            "Do everything but write: plan, judge, say the verdict."},
    [SW_OPTION_FORCE] = {"force", 0, NULL, SW_FOR_MAKE | SW_FOR_BATCH | SW_FOR_CORRECT,
                         "Replace files of the same names that make did not write."},
    [SW_OPTION_PASSES] =
        {"passes", 0, NULL, SW_FOR_MAKE,
         "Explain every pass: depth, feed, force, bending, stress, and what held it back."},
    [SW_OPTION_JSON] = {"json", 0, NULL,
                        SW_FOR_CHECK | SW_FOR_MAKE | SW_FOR_DRYRUN | SW_FOR_SIZE | SW_FOR_LIST |
                            SW_FOR_CORRECT,
                        "Print the result as JSON (profiles/schemas/)."},
    [SW_OPTION_JOB] = {"job", 0, "FILE", SW_FOR_DRYRUN,
                       "Judge against this job; it is planned to know what stands where."},
    [SW_OPTION_SETUP] = {"setup", 0, "FILE", SW_FOR_DRYRUN,
                         "Judge by this setup record, as make writes it."},
    [SW_OPTION_SHOP] = {"shop", 0, "SHOP", SW_FOR_DRYRUN,
                        "Judge programs nobody planned as they stand in this shop; needs --stock."},
    [SW_OPTION_STOCK] = {"stock", 0, "D,L", SW_FOR_DRYRUN,
                         "The rod: D mm thick, L mm out of the holder; z = 0 is its end face."},
    [SW_OPTION_HOLDER] = {"holder", 0, "NAME", SW_FOR_DRYRUN,
                          "What holds that rod; else the first of the shop that takes it."},
    [SW_OPTION_TOOL] = {"tool", 0, "N,N", SW_FOR_DRYRUN,
                        "The station of each program's tool, where programs do not bring theirs."},
    [SW_OPTION_SPINDLE] = {"spindle", 0, "N,WAY", SW_FOR_DRYRUN,
                           "Speed and sense (M3, M4) of a spindle that is switched by hand."},
    [SW_OPTION_REFEREE] =
        {"referee", 0, NULL, SW_FOR_DRYRUN,
         "Cut with the other removal kernel, polygons by GEOS: slow, a second opinion."},
    [SW_OPTION_MACHINE] =
        {"machine", 0, "MACHINE", SW_FOR_CHECK,
         "Try a dialect: write a trial path, read it as this machine does, compare."},
    [SW_OPTION_PAGE] = {"page", 0, "PAGE", SW_FOR_DRAW, "Draw only this page: its number or name."},
    [SW_OPTION_SCHEMA] = {"schema", 0, NULL, SW_FOR_EXPLAIN,
                          "Print the JSON Schema of a kind of file instead of its page."},
    [SW_OPTION_PROFILES] = {"profiles", 0, "DIR",
                            SW_FOR_CHECK | SW_FOR_MAKE | SW_FOR_DRYRUN | SW_FOR_LIST | SW_FOR_DRAW |
                                SW_FOR_CORRECT | SW_FOR_BATCH,
                            "Look for machines, tools, holders, materials and shops here first."},
    [SW_OPTION_JOBS] = {"jobs", 0, "N", SW_FOR_BATCH,
                        "Variants made at the same time; the files do not depend on it."},
    [SW_OPTION_DRAWINGS] = {"drawings", 0, NULL, SW_FOR_BATCH,
                            "Put sheet.pdf and drawing.pdf into each variant's folder, too."},
    [SW_OPTION_LOG] = {"log", 0, "FILE", SW_FOR_CORRECT | SW_FOR_BATCH,
                       "Measurements of the shop: correct adds what was read, batch forecasts by "
                       "them."},
    [SW_OPTION_FINISH] = {"finish", 0, "DIR", SW_FOR_CORRECT,
                          "Write a finishing program for the last piece, where it is too thick."},
    [SW_OPTION_HARDENED] = {"hardened", 0, NULL,
                            SW_FOR_MAKE | SW_FOR_DRYRUN | SW_FOR_DRAW | SW_FOR_CORRECT,
                            "Of a job with `harden`: what is cut of the blank when it is hard."},
    [SW_OPTION_HELP] = {"help", 'h', NULL, SW_FOR_ALL, "Print this help."},
    [SW_OPTION_VERSION] = {"version", 0, NULL, SW_FOR_NONE, "Print name and version."},
};

static enum sw_status refuse(struct sw_ctx *ctx, const char *hint, const char *format,
                             const char *what)
{
    sw_diag_add(ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0}, hint, format, what);
    return SW_USAGE;
}

/* An option nobody knows: the nearest one this command takes is the hint. */
static enum sw_status unknown(const char *name, unsigned commands, struct sw_ctx *ctx)
{
    const char *known[SW_N_OPTIONS + 1];
    size_t n = 0;
    for (int i = 0; i < SW_N_OPTIONS; i++)
        if (sw_options[i].commands & commands)
            known[n++] = sw_options[i].name;
    known[n] = NULL;
    const char *nearest = sw_nearest_word(name, known);
    const char *hint = nearest ? sw_arena_printf(ctx->arena, "did you mean --%s?", nearest) : NULL;
    if (nearest && !hint)
        return SW_MEMORY;
    return refuse(ctx, hint, "there is no option --%s here", name);
}

struct reader {
    struct sw_args *args;
    int argc;
    char *const *argv;
    int at;
    unsigned commands;
    struct sw_ctx *ctx;
};

/* "--name", "--name=value", "--name value" */
static enum sw_status read_long(struct reader *reader, const char *word)
{
    const size_t n = strcspn(word, "=");
    const char *name = sw_arena_copy(reader->ctx->arena, word, n);
    if (!name)
        return SW_MEMORY;
    for (int i = 0; i < SW_N_OPTIONS; i++) {
        if (strcmp(sw_options[i].name, name) != 0 || !(sw_options[i].commands & reader->commands))
            continue;
        if (!sw_options[i].value && word[n])
            return refuse(reader->ctx, NULL, "--%s takes no value", name);
        if (!sw_options[i].value)
            reader->args->value[i] = "";
        else if (word[n])
            reader->args->value[i] = word + n + 1;
        else if (reader->at < reader->argc)
            reader->args->value[i] = reader->argv[reader->at++];
        else
            return refuse(reader->ctx, NULL, "--%s needs a value", name);
        return SW_OK;
    }
    return unknown(name, reader->commands, reader->ctx);
}

/* "-x", "-xy", "-xVALUE", "-x VALUE" */
static enum sw_status read_letters(struct reader *reader, const char *letters)
{
    for (; *letters; letters++) {
        int i = 0;
        while (i < SW_N_OPTIONS &&
               !(sw_options[i].letter == *letters && (sw_options[i].commands & reader->commands)))
            i++;
        const char shown[] = {*letters, '\0'};
        if (i == SW_N_OPTIONS)
            return refuse(reader->ctx, NULL, "there is no option -%s here", shown);
        if (!sw_options[i].value) {
            reader->args->value[i] = "";
            continue;
        }
        if (letters[1])
            reader->args->value[i] = letters + 1;
        else if (reader->at < reader->argc)
            reader->args->value[i] = reader->argv[reader->at++];
        else
            return refuse(reader->ctx, NULL, "-%s needs a value", shown);
        return SW_OK;
    }
    return SW_OK;
}

enum sw_status sw_args_read(struct sw_args *out, int argc, char *const *argv, unsigned commands,
                            struct sw_ctx *ctx)
{
    *out = (struct sw_args){0};
    out->operand = SW_NEW(ctx->arena, const char *, (size_t)argc + 1);
    if (!out->operand)
        return SW_MEMORY;
    struct reader reader = {out, argc, argv, 0, commands, ctx};
    bool is_over = false; /* after "--" all are operands */
    while (reader.at < argc) {
        const char *word = argv[reader.at++];
        if (is_over || word[0] != '-' || !word[1])
            out->operand[out->n++] = word;
        else if (strcmp(word, "--") == 0)
            is_over = true;
        else if (word[1] == '-')
            SW_TRY(read_long(&reader, word + 2));
        else
            SW_TRY(read_letters(&reader, word + 1));
    }
    return SW_OK;
}

static void add_spelling(struct sw_buf *out, const struct sw_option *option)
{
    if (option->letter)
        sw_buf_printf(out, "-%c, ", option->letter);
    sw_buf_printf(out, "--%s", option->name);
    if (option->value)
        sw_buf_printf(out, "=%s", option->value);
}

void sw_options_help(struct sw_buf *out, unsigned commands)
{
    enum { SAYS_AT = 24 };
    for (int i = 0; i < SW_N_OPTIONS; i++) {
        if (!(sw_options[i].commands & commands))
            continue;
        sw_buf_add(out, "  ");
        add_spelling(out, &sw_options[i]);
        sw_buf_pad(out, SAYS_AT);
        sw_buf_printf(out, "%s\n", sw_options[i].says);
    }
}

void sw_options_usage(struct sw_buf *out, unsigned commands)
{
    for (int i = 0; i < SW_N_OPTIONS; i++) {
        const struct sw_option *option = &sw_options[i];
        if (!(option->commands & commands) || i == SW_OPTION_HELP)
            continue;
        if (option->letter)
            sw_buf_printf(out, " [-%c", option->letter);
        else
            sw_buf_printf(out, " [--%s", option->name);
        if (option->value)
            sw_buf_printf(out, " %s", option->value);
        sw_buf_add(out, "]");
    }
}
