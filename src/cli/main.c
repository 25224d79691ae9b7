#include "cli/cli.h"

int main(int argc, char **argv)
{
    static const struct sw_cli_about about = {SW_VERSION, SW_DATA_DIR};
    return sw_cli_run(argc, argv, &about);
}
