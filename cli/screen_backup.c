#include "cli/screen.h"

void screen_backup(const struct view *v, const json_t *answer, struct text *out)
{
    (void)v;
    text_add(out, "%s holds %lld entries, and was read back.\n", view_text(answer, "file"),
             (long long)json_integer_value(json_object_get(answer, "entries")));
}
