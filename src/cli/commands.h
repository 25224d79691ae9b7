/* commands: the table of commands and what runs them. */
#ifndef SW_CLI_COMMANDS_H
#define SW_CLI_COMMANDS_H

#include "cli/cli.h"
#include "cli/options.h"

/** One command line being run. */
struct sw_cli {
    const struct sw_cli_about *about;
    struct sw_args args;
    struct sw_app app;
    struct sw_ctx *ctx;
    struct sw_buf *out; /* becomes standard output */
    struct sw_buf *err; /* becomes standard error, before the diagnostics */
};

struct sw_command {
    const char *name;
    const char *operands; /* as usage shows them */
    size_t least, most;   /* number of operands */
    unsigned bit;         /* SW_FOR_... */
    bool needs_profiles;
    const char *says; /* one line */
    const char *page; /* the rest of its help */
    enum sw_status (*run)(struct sw_cli *cli);
};

/** All commands; a NULL name ends them. */
extern const struct sw_command sw_commands[];

/** The command called NAME, or NULL. */
const struct sw_command *sw_command_find(const char *name);

/** Append the help of one command, or of the whole program when it is NULL. */
void sw_command_help(struct sw_buf *out, const struct sw_command *command);

/** Append the usage line of one command. */
void sw_command_usage(struct sw_buf *out, const struct sw_command *command);

/** Refuse a word nobody knows; the nearest of WORDS (NULL-ended) is the hint. SW_USAGE. */
enum sw_status sw_cli_unknown(const char *format, const char *word, const char *const *words,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
