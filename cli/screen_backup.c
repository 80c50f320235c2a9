#include "cli/screen.h"

void screen_backup(const struct view *v, const json_t *answer, struct text *out)
{
    (void)v;
    text_add(out, "%s holds %s entries, and was read back.\n", view_text(answer, "file"),
             view_text(answer, "entries"));
}
