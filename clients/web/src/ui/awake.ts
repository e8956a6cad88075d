// Keeps the screen from going dark while the page is seen. Browsers allow it on secure addresses only;
// elsewhere the machine's own settings decide.
export function keepAwake(): void {
    const ask = () => {
        if (!document.hidden) void navigator.wakeLock?.request("screen").catch(() => undefined);
    };
    document.addEventListener("visibilitychange", ask);
    ask();
}
