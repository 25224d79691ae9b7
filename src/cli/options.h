/* options: one table of options, and what a command line says by it.
 *
 * GNU order: options anywhere, `--name=value` or `--name value`, `-xVALUE` or `-x VALUE`, switches
 * of one letter may be run together, `--` ends the options. No abbreviations; of an option given
 * twice the last counts.
 */
#ifndef SW_CLI_OPTIONS_H
#define SW_CLI_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/ctx.h"

enum sw_option_id {
    SW_OPTION_OUTPUT,
    SW_OPTION_NO_WRITE,
    SW_OPTION_FORCE,
    SW_OPTION_PASSES,
    SW_OPTION_JSON,
    SW_OPTION_JOB,
    SW_OPTION_SETUP,
    SW_OPTION_SHOP,
    SW_OPTION_STOCK,
    SW_OPTION_HOLDER,
    SW_OPTION_TOOL,
    SW_OPTION_SPINDLE,
    SW_OPTION_REFEREE,
    SW_OPTION_MACHINE,
    SW_OPTION_PAGE,
    SW_OPTION_SCHEMA,
    SW_OPTION_PROFILES,
    SW_OPTION_JOBS,
    SW_OPTION_DRAWINGS,
    SW_OPTION_LOG,
    SW_OPTION_FINISH,
    SW_OPTION_HARDENED,
    SW_OPTION_HELP,
    SW_OPTION_VERSION,
    SW_N_OPTIONS
};

/* Which commands take an option. */
enum {
    SW_FOR_CHECK = 1,
    SW_FOR_MAKE = 2,
    SW_FOR_DRYRUN = 4,
    SW_FOR_LIST = 8,
    SW_FOR_EXPLAIN = 16,
    SW_FOR_HELP = 32,
    SW_FOR_NONE = 64, /* without a command */
    SW_FOR_SIZE = 128,
    SW_FOR_DRAW = 256,
    SW_FOR_CORRECT = 512,
    SW_FOR_BATCH = 1024,
    SW_FOR_ALL = 2047
};

struct sw_option {
    const char *name;  /* after the two dashes */
    char letter;       /* after one dash; 0: none */
    const char *value; /* what the value is called in help; NULL: a switch */
    unsigned commands;
    const char *says;
};

/** The table, by enum sw_option_id. */
extern const struct sw_option sw_options[SW_N_OPTIONS];

struct sw_args {
    const char *value[SW_N_OPTIONS]; /* NULL: not given; a switch that was given: "" */
    const char **operand;
    size_t n;
};

/** Read ARGV[0..ARGC) (behind program name and command) for the commands in COMMANDS. SW_USAGE
 *  with a diagnostic for an option nobody knows or that this command does not take. */
enum sw_status sw_args_read(struct sw_args *out, int argc, char *const *argv, unsigned commands,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Append the options of COMMANDS, one or two lines each. */
void sw_options_help(struct sw_buf *out, unsigned commands);

/** Append the options of COMMANDS as a usage line shows them: "[-n] [-o DIR]". */
void sw_options_usage(struct sw_buf *out, unsigned commands);

#endif
