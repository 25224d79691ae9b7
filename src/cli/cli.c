#include "cli/cli.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "app/paths.h"
#include "base/file.h"
#include "cli/commands.h"

/* The folder being built goes, then the signal does what it always does. SA_RESETHAND has put the
 * default action back, so raising it again ends the program with the right status. */
static void on_signal(int number)
{
    sw_outdir_abort_all_from_signal();
    raise(number);
}

static void watch_signals(void)
{
    static const int number[] = {SIGINT, SIGTERM, SIGHUP};
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = on_signal;
    sigemptyset(&action.sa_mask);
    action.sa_flags = (int)SA_RESETHAND;
    for (size_t i = 0; i < sizeof number / sizeof *number; i++) {
        struct sigaction before;
        /* A signal that the caller ignores (a background job's SIGINT) stays ignored. */
        if (sigaction(number[i], NULL, &before) == 0 && before.sa_handler != SIG_IGN)
            sigaction(number[i], &action, NULL);
    }
}

static enum sw_status run_command(struct sw_cli *cli, const struct sw_command *command, int argc,
                                  char **argv)
{
    SW_TRY(sw_args_read(&cli->args, argc, argv, command->bit, cli->ctx));
    if (cli->args.value[SW_OPTION_HELP]) {
        sw_command_help(cli->out, command);
        return SW_OK;
    }
    if (cli->args.n < command->least || cli->args.n > command->most) {
        sw_diag_add(cli->ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0}, NULL,
                    cli->args.n < command->least ? "%s needs %s" : "%s takes only %s",
                    command->name, command->operands);
        return SW_USAGE;
    }
    cli->app.hardened = cli->args.value[SW_OPTION_HARDENED] != NULL;
    if (command->needs_profiles)
        SW_TRY(sw_app_find_roots(&cli->app.search, cli->args.value[SW_OPTION_PROFILES],
                                 cli->about->data_dir, cli->ctx));
    return command->run(cli);
}

/* Without a command: --help and --version, or a word nobody knows. */
static enum sw_status run_bare(struct sw_cli *cli, int argc, char **argv)
{
    if (argc > 0 && argv[0][0] != '-') {
        const char *names[16];
        size_t n = 0;
        for (; sw_commands[n].name && n + 1 < sizeof names / sizeof *names; n++)
            names[n] = sw_commands[n].name;
        names[n] = NULL;
        return sw_cli_unknown("there is no command `%s`", argv[0], names, cli->ctx);
    }
    SW_TRY(sw_args_read(&cli->args, argc, argv, SW_FOR_NONE, cli->ctx));
    if (cli->args.value[SW_OPTION_VERSION]) {
        sw_buf_printf(cli->out, "staffwright %s\n", cli->about->version);
        return SW_OK;
    }
    if (cli->args.value[SW_OPTION_HELP]) {
        sw_command_help(cli->out, NULL);
        return SW_OK;
    }
    if (cli->args.n)
        return sw_cli_unknown("a command comes first, before `%s`", cli->args.operand[0],
                              (const char *const[]){NULL}, cli->ctx);
    sw_command_help(cli->err, NULL);
    return SW_USAGE;
}

/* True when all of it reached its stream. */
static bool put(FILE *stream, const char *text, size_t size)
{
    return (size == 0 || fwrite(text, 1, size, stream) == size) && fflush(stream) == 0;
}

/* Results, then talk. A result that could not be written is a failure of its own. */
static enum sw_status finish(struct sw_cli *cli, const struct sw_command *command,
                             enum sw_status status)
{
    struct sw_buf talk = {0};
    sw_diag_write(cli->ctx->diag, &talk);
    if (status == SW_USAGE && command)
        sw_command_usage(&talk, command);
    if (cli->out->failed || cli->err->failed || talk.failed || sw_diag_failed(cli->ctx->diag))
        status = SW_MEMORY;
    else if (!put(stdout, sw_buf_text(cli->out), cli->out->n) || ferror(stdout)) {
        sw_buf_printf(&talk, "staffwright: error: writing the result failed: %s\n",
                      strerror(errno));
        status = SW_WRITE;
    }
    if (status == SW_MEMORY || status == SW_INTERNAL)
        sw_buf_printf(&talk, "staffwright: error: %s\n", sw_status_text(status));
    if (talk.failed)
        put(stderr, "staffwright: error: out of memory\n", 34);
    else if (!put(stderr, sw_buf_text(cli->err), cli->err->n) ||
             !put(stderr, sw_buf_text(&talk), talk.n))
        status = status == SW_OK ? SW_WRITE : status;
    sw_buf_done(&talk);
    return status;
}

int sw_cli_run(int argc, char **argv, const struct sw_cli_about *about)
{
    watch_signals();
    struct sw_buf out = {0}, err = {0};
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = SW_MEMORY;
    if (ctx.arena && ctx.diag) {
        struct sw_cli cli = {.about = about,
                             .app = {.version = about->version},
                             .ctx = &ctx,
                             .out = &out,
                             .err = &err};
        const struct sw_command *command = argc > 1 ? sw_command_find(argv[1]) : NULL;
        status = command ? run_command(&cli, command, argc - 2, argv + 2)
                         : run_bare(&cli, argc > 1 ? argc - 1 : 0, argv + 1);
        status = finish(&cli, command, status);
    }
    sw_buf_done(&out);
    sw_buf_done(&err);
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
    /* Only here does a full disk show for a buffered stream. */
    if (fclose(stdout) != 0 && status == SW_OK)
        status = SW_WRITE;
    return sw_status_exit_code(status);
}
