/* sd.h - the system's service manager, as systemd documents it: readiness, watchdog, handed
 * sockets.
 *
 * All of it does nothing where the environment does not ask for it. */
#ifndef TARN_SERVE_NET_SD_H
#define TARN_SERVE_NET_SD_H

#include <stdint.h>

/* Tells the manager a state, as sd_notify(3) has them: "READY=1", "STOPPING=1",
 * "WATCHDOG=1" … Where nobody listens it is lost: nothing depends on it here. */
void sd_notify(const char *state);

/* "RELOADING=1" with the monotonic time that sd_notify(3) asks for. "READY=1" has to follow. */
void sd_notify_reloading(void);

/* How often to say WATCHDOG=1 (half the time asked for), ms; 0 = not at all. */
uint64_t sd_watchdog_ms(void);

/* The first descriptor handed over by LISTEN_FDS (sd_listen_fds(3)); -1 when there is
 * none, or it is meant for another process. */
int sd_listen_fd(void);

#endif
