// Loads the page; where one of its files cannot be had, tries again once the service answers.

const later = () => setTimeout(() => fetch("/healthz").then(again, later), 2000);
const again = (reply) => (reply.ok ? location.reload() : later());
import("./kiosk.js").catch(later);
