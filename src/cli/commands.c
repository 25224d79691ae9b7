#include "cli/commands.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/mem.h"
#include "cli/progress.h"
#include "report/correct.h"
#include "report/explain.h"
#include "report/passes.h"
#include "report/size.h"
#include "report/tables.h"
#include "report/text.h"
#include "spec/table.h"

enum { ANY_NUMBER = 1000 };

enum sw_status sw_cli_unknown(const char *format, const char *word, const char *const *words,
                              struct sw_ctx *ctx)
{
    const char *nearest = sw_nearest_word(word, words);
    const char *hint = nearest ? sw_arena_printf(ctx->arena, "did you mean `%s`?", nearest) : NULL;
    if (nearest && !hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0}, hint, format, word);
    return SW_USAGE;
}

/* The worse of two outcomes by exit code: 70, 5, 3, 4, 1, 0. */
static enum sw_status worse(enum sw_status a, enum sw_status b)
{
    static const int order[] = {0, 1, 4, 3, 2, 5, 70};
    size_t at_a = 0, at_b = 0;
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        at_a = sw_status_exit_code(a) == order[i] ? i : at_a;
        at_b = sw_status_exit_code(b) == order[i] ? i : at_b;
    }
    return at_b > at_a ? b : a;
}

static enum sw_status run_check(struct sw_cli *cli)
{
    const bool wants_json = cli->args.value[SW_OPTION_JSON] != NULL;
    struct sw_report_checked *checked =
        SW_NEW(cli->ctx->arena, struct sw_report_checked, cli->args.n);
    struct sw_buf unshown = {0};
    struct sw_buf *text = wants_json ? &unshown : cli->out;
    enum sw_status status = checked ? SW_OK : SW_MEMORY;
    for (size_t i = 0; checked && i < cli->args.n; i++) {
        if (i && text->n)
            sw_buf_add(text, "\n");
        const enum sw_status one =
            sw_app_check(&checked[i], text, cli->args.operand[i],
                         cli->args.value[SW_OPTION_MACHINE], &cli->app, cli->ctx);
        status = worse(status, one);
    }
    const int code = sw_status_exit_code(status);
    if (wants_json && code != 2 && code < 5) {
        const enum sw_status told = sw_report_check_json(cli->out, checked, cli->args.n,
                                                         cli->about->version, cli->ctx->diag);
        status = told == SW_OK ? status : told;
    }
    sw_buf_done(&unshown);
    return status;
}

static enum sw_status run_make(struct sw_cli *cli)
{
    const bool writes = !cli->args.value[SW_OPTION_NO_WRITE];
    const char *folder = cli->args.value[SW_OPTION_OUTPUT];
    if (writes && !folder) {
        sw_diag_add(cli->ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0},
                    "write -o PATH, or -n to write nothing", "make needs a folder to write to");
        return SW_USAGE;
    }
    struct sw_work *work = SW_NEW(cli->ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    const struct sw_app_make make = {.job = cli->args.operand[0],
                                     .folder = folder ? folder : ".",
                                     .writes = writes,
                                     .force = cli->args.value[SW_OPTION_FORCE] != NULL,
                                     .explains = cli->args.value[SW_OPTION_PASSES] != NULL};
    const enum sw_status status = sw_app_make(work, &make, &cli->app, cli->ctx);
    if (status == SW_INTERNAL && work->verdict)
        sw_report_verdict(cli->err, work->verdict); /* no result: nothing was made */
    if (status != SW_OK)
        return status;
    if (cli->args.value[SW_OPTION_JSON] && cli->args.value[SW_OPTION_PASSES])
        return sw_report_passes_json(cli->out, work->plan, work->programs, work->verdict,
                                     cli->about->version);
    if (cli->args.value[SW_OPTION_JSON]) {
        struct sw_app_text *text;
        struct sw_report_hash *hash;
        size_t n;
        SW_TRY(sw_app_program_texts(&text, &n, work, cli->ctx));
        SW_TRY(sw_app_hash_texts(&hash, text, n, cli->ctx));
        return sw_report_dryrun_json(cli->out, work->verdict, hash, cli->about->version);
    }
    sw_report_plan(cli->out, work->plan);
    if (cli->args.value[SW_OPTION_PASSES]) {
        sw_buf_add(cli->out, "\n");
        sw_report_passes(cli->out, work->plan, work->programs, work->verdict);
    }
    sw_report_verdict(cli->out, work->verdict);
    if (writes)
        sw_buf_printf(cli->out, "written to %s; read %s/sheet.txt before the spindle starts\n",
                      folder, folder);
    else
        sw_buf_add(cli->out, "nothing was written\n");
    return SW_OK;
}

static enum sw_status run_batch(struct sw_cli *cli)
{
    enum { MOST_JOBS = 32 };
    const char *jobs = cli->args.value[SW_OPTION_JOBS];
    char *end = NULL;
    const long n = jobs ? strtol(jobs, &end, 10) : 1;
    const bool is_number = !jobs || (*jobs && !*end);
    const char *folder = cli->args.value[SW_OPTION_OUTPUT];
    if (!folder || !is_number || n < 1 || n > MOST_JOBS) {
        sw_diag_add(cli->ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0}, NULL,
                    folder ? "--jobs takes a number from 1 to 32"
                           : "batch needs a folder to write to: -o PATH");
        return SW_USAGE;
    }
    struct timespec began = sw_progress_begin();
    const struct sw_app_batch batch = {.file = cli->args.operand[0],
                                       .folder = folder,
                                       .log = cli->args.value[SW_OPTION_LOG],
                                       .jobs = (size_t)n,
                                       .draws = cli->args.value[SW_OPTION_DRAWINGS] != NULL,
                                       .force = cli->args.value[SW_OPTION_FORCE] != NULL,
                                       .progress = isatty(STDERR_FILENO) ? sw_progress_show : NULL,
                                       .user = &began};
    return sw_app_batch(cli->out, &batch, &cli->app, cli->ctx);
}

static enum sw_status run_draw(struct sw_cli *cli)
{
    const struct sw_app_draw draw = {cli->args.operand[0], cli->args.value[SW_OPTION_OUTPUT],
                                     cli->args.value[SW_OPTION_PAGE]};
    if (!draw.output) {
        sw_diag_add(cli->ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0},
                    "write -o FILE.pdf, or .svg or .png", "draw needs a file to write to");
        return SW_USAGE;
    }
    return sw_app_draw(cli->out, &draw, &cli->app, cli->ctx);
}

static enum sw_status run_dryrun(struct sw_cli *cli)
{
    const struct sw_app_dryrun dryrun = {cli->args.operand,
                                         cli->args.n,
                                         cli->args.value[SW_OPTION_JOB],
                                         cli->args.value[SW_OPTION_SETUP],
                                         cli->args.value[SW_OPTION_SHOP],
                                         cli->args.value[SW_OPTION_STOCK],
                                         cli->args.value[SW_OPTION_HOLDER],
                                         cli->args.value[SW_OPTION_TOOL],
                                         cli->args.value[SW_OPTION_SPINDLE]};
    const bool wants_json = cli->args.value[SW_OPTION_JSON] != NULL;
    struct sw_verdict *verdict = NULL;
    cli->app.by_referee = cli->args.value[SW_OPTION_REFEREE] != NULL;
    const enum sw_status status =
        sw_app_dryrun(&verdict, wants_json ? cli->out : NULL, &dryrun, &cli->app, cli->ctx);
    if (verdict && !wants_json && (status == SW_OK || status == SW_FOUND))
        sw_report_verdict(cli->out, verdict);
    return status;
}

/* Why nothing was written, where a table shows it but no diagnostic does. */
static void say_unfit(struct sw_cli *cli, const struct sw_app_size *size)
{
    for (size_t i = 0; size->fit && i < size->fit->n; i++)
        if (size->fit->item[i].verdict == SW_FIT_FAILS)
            sw_diag_add(cli->ctx->diag, SW_ERROR, "size.unfit", (struct sw_span){0}, NULL,
                        "the staff would not work: %s; nothing was written",
                        size->fit->item[i].name);
    if (!size->staff && size->sizing)
        sw_diag_add(cli->ctx->diag, SW_ERROR, "size.incomplete", (struct sw_span){0}, NULL,
                    "no staff can be written from these readings; the report says what is missing "
                    "or contradictory");
}

static enum sw_status run_size(struct sw_cli *cli)
{
    const char *file = cli->args.value[SW_OPTION_OUTPUT];
    const bool wants_json = cli->args.value[SW_OPTION_JSON] != NULL;
    const bool to_screen = file && strcmp(file, "-") == 0;
    if (to_screen && wants_json) {
        sw_diag_add(cli->ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0},
                    "give -o a file, or leave --json out",
                    "the staff file and JSON cannot both go to the screen");
        return SW_USAGE;
    }
    struct sw_app_size size;
    const enum sw_status status =
        sw_app_size(&size, cli->out, cli->args.operand[0], file, cli->ctx);
    if ((status != SW_OK && status != SW_FOUND) || !size.sizing)
        return status;
    if (status == SW_FOUND)
        say_unfit(cli, &size);
    if (wants_json) {
        SW_TRY(sw_report_size_json(cli->out, size.sizing, size.fit, size.written,
                                   cli->about->version));
        return status;
    }
    struct sw_buf *to = to_screen && size.written ? cli->err : cli->out;
    sw_report_sizing(to, size.sizing);
    if (size.fit) {
        sw_text_headline(to, "How the staff fits");
        sw_report_fit(to, size.fit);
    }
    if (size.written && !to_screen)
        sw_buf_printf(to, "written to %s; read the reasons in it before cutting\n", size.written);
    else if (!size.written)
        sw_buf_add(to, "nothing was written\n");
    return status;
}

static enum sw_status write_charts(struct sw_buf *says, const char *path,
                                   const struct sw_app_correct *found, const struct sw_sheet *sheet,
                                   struct sw_ctx *ctx)
{
    struct sw_drawing *drawing = NULL;
    SW_TRY(sw_report_charts(&drawing, &found->correction, sheet, ctx));
    return sw_app_write_picture(says, path, drawing, ctx);
}

static enum sw_status run_correct(struct sw_cli *cli)
{
    const char *chart = cli->args.value[SW_OPTION_OUTPUT];
    if (chart)
        SW_TRY(sw_app_check_picture(chart, cli->ctx));
    struct sw_app_correct *found = SW_NEW(cli->ctx->arena, struct sw_app_correct, 1);
    if (!found)
        return SW_MEMORY;
    SW_TRY(sw_app_correct(found, cli->args.operand[0], cli->args.operand[1], &cli->app, cli->ctx));
    const struct sw_sheet sheet = {.version = cli->about->version,
                                   .plan = found->work.plan,
                                   .post = found->work.post,
                                   .programs = found->work.programs,
                                   .setup = found->work.setup,
                                   .verdict = found->work.verdict};
    const bool wants_json = cli->args.value[SW_OPTION_JSON] != NULL;
    struct sw_buf text = {0};
    bool is_clean;
    enum sw_status status =
        sw_report_correction(&text, &is_clean, &found->correction, &sheet, cli->ctx);
    if (status == SW_OK && !wants_json)
        sw_buf_add(cli->out, sw_buf_text(&text));
    sw_buf_done(&text);
    SW_TRY(status);
    if (wants_json)
        SW_TRY(sw_report_correction_json(cli->out, &found->correction, &sheet, is_clean));
    struct sw_buf *says = wants_json ? cli->err : cli->out;
    const char *log = cli->args.value[SW_OPTION_LOG];
    if (log)
        SW_TRY(sw_app_log(says, log, cli->args.operand[1], found, cli->ctx));
    const char *finish = cli->args.value[SW_OPTION_FINISH];
    bool is_written = false;
    if (finish)
        SW_TRY(sw_app_again(says, &is_written, found, finish,
                            cli->args.value[SW_OPTION_FORCE] != NULL, &cli->app, cli->ctx));
    if (chart)
        SW_TRY(write_charts(says, chart, found, &sheet, cli->ctx));
    return is_clean && !is_written ? SW_OK : SW_FOUND;
}

static const char *const list_kinds[] = {"posts",   "machines", "tools",    "materials",
                                         "holders", "shops",    "findings", NULL};

static enum sw_status list_findings(struct sw_report_items *items, struct sw_ctx *ctx)
{
    for (int i = 0; i < SW_N_FINDINGS; i++) {
        const struct sw_report_item item = {sw_finding_word((enum sw_finding_code)i),
                                            sw_finding_sentence((enum sw_finding_code)i)};
        if (!SW_VEC_PUSH(ctx->arena, items, item))
            return SW_MEMORY;
    }
    return SW_OK;
}

static void print_list(struct sw_buf *out, const struct sw_report_items *items)
{
    enum { SAYS_AT = 26 };
    for (size_t i = 0; i < items->n; i++) {
        sw_buf_add(out, items->at[i].name);
        if (items->at[i].says) {
            sw_buf_pad(out, SAYS_AT);
            sw_buf_add(out, items->at[i].says);
        }
        sw_buf_add(out, "\n");
    }
}

static enum sw_status run_list(struct sw_cli *cli)
{
    const bool wants_json = cli->args.value[SW_OPTION_JSON] != NULL;
    struct sw_report_items items = {0};
    const char *kind = cli->args.operand[0];
    for (const char *const *known = list_kinds; *known; known++) {
        if (strcmp(*known, kind) != 0)
            continue;
        const bool is_findings = strcmp(kind, "findings") == 0;
        if (is_findings && !wants_json) {
            sw_report_list_findings(cli->out);
            return SW_OK;
        }
        const enum sw_status status = is_findings ? list_findings(&items, cli->ctx)
                                                  : sw_app_list(&items, kind, &cli->app, cli->ctx);
        if (status == SW_MEMORY || !wants_json)
            print_list(cli->out, &items);
        else
            SW_TRY(sw_report_list_json(cli->out, kind, &items, cli->about->version));
        return status;
    }
    return sw_cli_unknown("there is no list of `%s`: posts, machines, tools, materials, holders, "
                          "shops or findings",
                          kind, list_kinds, cli->ctx);
}

static enum sw_status explain_schema(struct sw_cli *cli, const char *word)
{
    const struct sw_report_kind *kind = sw_report_kind(word);
    if (kind) {
        sw_table_schema(kind->table, cli->out);
        return SW_OK;
    }
    sw_diag_add(
        cli->ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0},
        "staff, survey, job, shop, machine, tool, holder, material, post, setup, measured or "
        "measurements",
        "there is no kind of file called `%s`", word);
    return SW_USAGE;
}

static enum sw_status run_explain(struct sw_cli *cli)
{
    const char *word = cli->args.operand[0];
    if (cli->args.value[SW_OPTION_SCHEMA])
        return explain_schema(cli, word);
    bool found = false;
    const char *nearest = NULL;
    SW_TRY(sw_report_explain(cli->out, &found, &nearest, word, cli->ctx));
    if (found)
        return SW_OK;
    const char *const words[] = {nearest, NULL};
    return sw_cli_unknown("there is nothing to explain under `%s`", word, words, cli->ctx);
}

static enum sw_status run_help(struct sw_cli *cli)
{
    const struct sw_command *command = NULL;
    if (cli->args.n) {
        command = sw_command_find(cli->args.operand[0]);
        if (!command) {
            const char *names[16];
            size_t n = 0;
            for (; sw_commands[n].name && n + 1 < sizeof names / sizeof *names; n++)
                names[n] = sw_commands[n].name;
            names[n] = NULL;
            return sw_cli_unknown("there is no command `%s`", cli->args.operand[0], names,
                                  cli->ctx);
        }
    }
    sw_command_help(cli->out, command);
    return SW_OK;
}

const struct sw_command sw_commands[] = {
    {"check", "FILE...", 1, ANY_NUMBER, SW_FOR_CHECK, true,
     "see whether a file is sound, and whether a job can be made",
     "Reads any file of staffwright (staff, survey, job, shop, machine, tool, holder, material,\n"
     "post, setup) and reports all its faults at once. For a staff it prints the table of "
     "sections\n"
     "and how it fits its jewels and parts, for a job also how it would be made.\n"
     "With --machine a post file is tried without a part: a built-in path with every event is\n"
     "written, read back by the machine's `control:` facts and compared, event by event.\n"
     "Exit: 0 sound, 1 does not fit its parts, or the trial reads differently, 3 faulty, 4 cannot "
     "be\n"
     "made with this shop, or the control cannot do what the dialect asks.\n"
     "Examples: staffwright check staff.yaml\n"
     "          staffwright check post.yaml --machine bench-gang\n",
     run_check},
    {"size", "SURVEY", 1, 1, SW_FOR_SIZE, false,
     "work out the staff from what was measured in the movement",
     "Reads a survey/1 file: what was measured in the movement, each reading with its doubt, any "
     "of\n"
     "it missing. Says every size of the staff with its reason and how well it is known, which\n"
     "readings contradict each other, what to measure next, and how the staff would fit. With -o\n"
     "it writes the staff file.\n"
     "Exit: 0 worked out, 1 something essential is missing, contradictory or does not fit.\n"
     "Example: staffwright size survey.yaml -o staff.yaml\n",
     run_size},
    {"draw", "STAFF|JOB", 1, 1, SW_FOR_DRAW, true, "draw a staff, or a job with set-up and cuts",
     "Draws a staff (the staff with its sizes, details, and how it stands in its jewels), or a "
     "job:\n"
     "these pages, then for each side how it is held, each tool where it reaches deepest, and "
     "every\n"
     "cut. The suffix of -o says the form: .pdf takes all pages; of .svg and .png each page "
     "becomes\n"
     "a file of its own (name-1.svg), unless --page asks for one. Pages are A4.\n"
     "Exit: 0 drawn, 1 drawn though it does not fit its parts.\n"
     "Examples: staffwright draw staff.yaml -o staff.pdf\n"
     "          staffwright draw job.yaml -o cuts.svg --page side-1-cuts\n",
     run_draw},
    {"make", "JOB", 1, 1, SW_FOR_MAKE, true, "make the programs of a job, with sheet and verdict",
     "Plans the job, writes the programs, reads them back and judges them. Only when the dry run\n"
     "of these very texts passes is the folder written: programs, sheet.txt and .pdf, setup.yaml,\n"
     "dryrun.json, record.json.\n"
     "Examples: staffwright make job.yaml -o out\n"
     "          staffwright make job.yaml -n --passes\n",
     run_make},
    {"batch", "BATCH", 1, 1, SW_FOR_BATCH, true,
     "make many variants of one job, with bars and forecast",
     "Reads a batch/1 file: a job, what varies, how many pieces, which bars. Writes a folder a\n"
     "variant as make does, and batch.txt: bars, measuring, forecast and how each variant ended. "
     "A\n"
     "variant that was made from the same inputs before is kept; one that fails stops no other.\n"
     "Exit: the worst of all variants, in the order 70, 5, 3, 4, 1, 0.\n"
     "Example: staffwright batch batch.yaml -o out --jobs 2\n",
     run_batch},
    {"dryrun", "PROGRAM...", 1, ANY_NUMBER, SW_FOR_DRYRUN, true,
     "judge programs from their own text",
     "Give all programs of a piece with --setup or --job, or one folder that make wrote. Programs\n"
     "nobody planned go with --shop and --stock, in the order given, in one chucking: what they\n"
     "leave is shown as a table of diameters, and no size is judged. Where the control changes no\n"
     "tools or does not switch the spindle, --tool and --spindle say what stands there.\n"
     "Exit: 0 pass, 1 fail.\n"
     "Examples: staffwright dryrun out\n"
     "          staffwright dryrun side-1.nc side-2.nc --setup setup.yaml\n"
     "          staffwright dryrun typed.nc --shop bench-gang --stock 2,12\n",
     run_dryrun},
    {"correct", "JOB MEASURED", 2, 2, SW_FOR_CORRECT, true,
     "say what to change after measuring pieces",
     "Reads a measured/1 file: diameters and lengths gauged on pieces that the job's programs "
     "cut.\n"
     "Says for each tool how far its X and Z are off and where that goes in, whether its height "
     "is,\n"
     "whether sizes drift, and what can be done for the pieces. What is less than its own doubt "
     "is\n"
     "not advised. The readings count as cut with the offsets as they are now, but for the\n"
     "`changes` the file names. JOB may be a batch: each reading then names its variant. -o "
     "draws\n"
     "control charts, --log adds the readings to the shop's measurements;\n"
     "--finish writes a finishing program for the last piece where its second side is too "
     "thick.\n"
     "Exit: 0 nothing to change, 1 something is.\n"
     "Example: staffwright correct job.yaml measured.yaml\n",
     run_correct},
    {"list", "KIND", 1, 1, SW_FOR_LIST, true, "list what the profiles hold, or the findings",
     "KIND is one of posts, machines, tools, materials, holders, shops, findings.\n"
     "Example: staffwright list tools\n",
     run_list},
    {"explain", "WORD", 1, 1, SW_FOR_EXPLAIN, false,
     "one page about a word: a kind of file, a key, a finding",
     "Examples: staffwright explain staff\n"
     "          staffwright explain dome_height\n"
     "          staffwright explain gouge\n"
     "          staffwright explain --schema staff\n",
     run_explain},
    {"help", "[COMMAND]", 0, 1, SW_FOR_HELP, false, "print help", "", run_help},
    {0},
};

const struct sw_command *sw_command_find(const char *name)
{
    for (const struct sw_command *command = sw_commands; command->name; command++)
        if (strcmp(command->name, name) == 0)
            return command;
    return NULL;
}

void sw_command_usage(struct sw_buf *out, const struct sw_command *command)
{
    sw_buf_printf(out, "usage: staffwright %s", command->name);
    sw_options_usage(out, command->bit);
    sw_buf_printf(out, " %s\n", command->operands);
}

static void program_help(struct sw_buf *out)
{
    enum { SAYS_AT = 12 };
    sw_buf_add(out, "staffwright: from the sizes of a watch balance staff to judged RS-274 lathe "
                    "programs\n\n"
                    "usage: staffwright COMMAND ...\n\n"
                    "  staffwright size survey.yaml -o staff.yaml\n"
                    "  staffwright check staff.yaml\n"
                    "  staffwright make job.yaml -o out\n"
                    "  staffwright dryrun out\n\n"
                    "commands:\n");
    for (const struct sw_command *command = sw_commands; command->name; command++) {
        sw_buf_printf(out, "  %s", command->name);
        sw_buf_pad(out, SAYS_AT);
        sw_buf_printf(out, "%s\n", command->says);
    }
    sw_buf_add(out, "\noptions:\n");
    sw_options_help(out, SW_FOR_NONE);
    sw_buf_add(out,
               "\nexit codes: 0 done and clean, 1 something is wrong with part or program, 2 wrong "
               "command\nline, 3 input missing or invalid, 4 cannot be made with this shop, 5 "
               "reading, writing or\nmemory failed, 70 internal\n");
}

void sw_command_help(struct sw_buf *out, const struct sw_command *command)
{
    if (!command) {
        program_help(out);
        return;
    }
    sw_command_usage(out, command);
    sw_buf_printf(out, "\n%s: %s\n", command->name, command->says);
    sw_buf_printf(out, "%s%s\noptions:\n", command->page[0] ? "\n" : "", command->page);
    sw_options_help(out, command->bit);
}
