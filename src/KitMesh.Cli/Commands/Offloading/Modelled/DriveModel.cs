namespace KitMesh.Cli.Commands.Offloading.Modelled;

// The problem: the kernel's own throttle counts reads and writes apart, so a drive that is written and read at once looks
// twice as fast as one that is not; a real drive has one budget. The method: each request takes the drive for
// bytes / rate, one after the other, whichever way the bytes go, and a jump to another place takes time where there is a
// head. A drive may be late by a moment and catch up (its own cache; else each late wake-up of this machine would count).

/// <summary>When a drive of a chosen kind has done each request: one budget for reads and writes.</summary>
/// <param name="writePerSecond">Bytes a second while it takes them.</param>
/// <param name="readPerSecond">Bytes a second while it gives them.</param>
/// <param name="seekSeconds">What a jump costs; 0 for flash.</param>
/// <param name="fastBytes">Bytes after which writing falls to the slow rate, as on shingled drives; 0 for never.</param>
/// <param name="slowPerSecond">Bytes a second after that.</param>
internal sealed class DriveModel(double writePerSecond, double readPerSecond, double seekSeconds, long fastBytes, double slowPerSecond)
{
    // A jump is more than what a drive's own look-ahead bridges, and requests of one stream may come in another order.
    private const long Near = 8 << 20;
    private const double CatchUpSeconds = 0.005;

    private double _busyUntil;
    private long _head;
    private long _written;

    /// <summary>When a request is done.</summary>
    /// <param name="now">Seconds on any clock.</param>
    /// <param name="write">Whether the drive takes bytes.</param>
    /// <param name="offset">Where.</param>
    /// <param name="bytes">How many.</param>
    public double Done(double now, bool write, long offset, int bytes)
    {
        double cost = write ? WriteCost(bytes) : bytes / readPerSecond;
        if (Math.Abs(offset - _head) > Near)
        {
            cost += seekSeconds;
        }

        _head = offset + bytes;
        _busyUntil = Math.Max(_busyUntil, now - CatchUpSeconds) + cost;
        return _busyUntil;
    }

    /// <summary>Starts anew: what was written before does not count towards the fast bytes.</summary>
    public void Rest() => _written = 0;

    private double WriteCost(int bytes)
    {
        long fast = fastBytes == 0 ? bytes : Math.Clamp(fastBytes - _written, 0, bytes);
        _written += bytes;
        return (fast / writePerSecond) + (bytes > fast ? (bytes - fast) / slowPerSecond : 0);
    }
}
