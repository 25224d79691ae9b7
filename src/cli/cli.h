/* cli: the command line: commands, options, help; the only place that prints, exits or knows where
 * the program's data were installed.
 *
 * Results go to standard output, diagnostics and complaints to standard error. The exit code is
 * that of the status (base/status.h). One table of options gives parsing, usage and help.
 */
#ifndef SW_CLI_CLI_H
#define SW_CLI_CLI_H

#include "app/app.h"
#include "base/buf.h"
#include "base/ctx.h"

/** What the build knows about itself. */
struct sw_cli_about {
    const char *version;
    const char *data_dir; /* where profiles and postprocessors were installed */
};

/** Run one command line; gives the exit code of the program. */
int sw_cli_run(int argc, char **argv, const struct sw_cli_about *about);

#endif
