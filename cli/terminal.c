#include "cli/terminal.h"

#include "cli/layout.h"
#include "daemon/base/num.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

size_t terminal_columns(FILE *stream)
{
    const char *told = getenv("COLUMNS");
    struct winsize size = {0};
    int64_t wide = 0;

    if (told && num_parse_int(told, 1, INT32_MAX, &wide, NULL) == 0) {
        return layout_columns_of((size_t)wide);
    }
    if (ioctl(fileno(stream), TIOCGWINSZ, &size) < 0) { /* a file, a pipe */
        return LAYOUT_COLUMNS;
    }
    return layout_columns_of(size.ws_col);
}

bool terminal_has_colour(FILE *stream)
{
    const char *kind = getenv("TERM");
    const char *none = getenv("NO_COLOR");

    return isatty(fileno(stream)) && !(none && *none) && kind && *kind && strcmp(kind, "dumb") != 0;
}
