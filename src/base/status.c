#include "base/status.h"

const char *sw_status_text(enum sw_status status)
{
    switch (status) {
#define X(name, number, exit_code, sentence)                                                       \
    case SW_##name:                                                                                \
        return sentence;
        SW_STATUS_LIST(X)
#undef X
    }
    return "unknown status";
}

int sw_status_exit_code(enum sw_status status)
{
    switch (status) {
#define X(name, number, exit_code, sentence)                                                       \
    case SW_##name:                                                                                \
        return exit_code;
        SW_STATUS_LIST(X)
#undef X
    }
    return 70;
}
