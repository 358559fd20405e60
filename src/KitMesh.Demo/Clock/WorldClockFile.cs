using System.IO.MemoryMappedFiles;
using NodaTime;

namespace KitMesh.Demo.Clock;

/// <summary>
/// World time for several processes at once: a small mapped file holds an anchor and a speed, and everybody computes the time
/// from the machine's monotonic clock, which all processes of one machine share.
/// </summary>
/// <remarks>
/// Problem: in the demo a day passes in a second or two in the hub, in three agents and in the scenario at once, and the
/// scenario must slow it down while a card is really copied. Trap: messages about time arrive late, and then two processes
/// disagree. Method: world = anchorWorld + (machine timestamp - anchorMachine) x speed; the one writer changes the three
/// numbers under a sequence lock (odd while it writes), readers try again when the sequence was odd or moved. World time
/// never steps back: each change takes the present as its new anchor.
/// </remarks>
public sealed class WorldClockFile : IDisposable
{
    private const int Size = 64;
    private const int SequenceAt = 0;
    private const int WorldAt = 8;
    private const int MachineAt = 16;
    private const int SpeedAt = 24;
    private const int UntilAt = 32;
    private const int MaxTries = 1_000_000;

    private readonly MemoryMappedFile _file;
    private readonly MemoryMappedViewAccessor _view;
    private readonly TimeProvider _machine;

    private WorldClockFile(MemoryMappedFile file, TimeProvider machine)
    {
        _file = file;
        _view = file.CreateViewAccessor(0, Size);
        _machine = machine;
    }

    /// <summary>Makes the file and starts the clock.</summary>
    /// <param name="path">Where; an existing file is overwritten.</param>
    /// <param name="start">World time now.</param>
    /// <param name="speed">World seconds in a machine second, from 0.</param>
    /// <param name="machine">Machine time.</param>
    public static WorldClockFile Create(string path, Instant start, double speed, TimeProvider machine)
    {
        File.WriteAllBytes(path, new byte[Size]);
        WorldClockFile clock = Open(path, machine);
        clock.Write(ToNanoseconds(start), speed, long.MaxValue);
        return clock;
    }

    /// <summary>Opens a file that another process made.</summary>
    /// <param name="path">Where.</param>
    /// <param name="machine">Machine time.</param>
    public static WorldClockFile Open(string path, TimeProvider machine) =>
        new(MemoryMappedFile.CreateFromFile(path, FileMode.Open, null, Size), machine);

    /// <summary>World seconds in a machine second.</summary>
    public double Speed => Read().Speed;

    /// <summary>World time now, in Unix nanoseconds.</summary>
    public long Nanoseconds => At(Read());

    /// <summary>World time now.</summary>
    public Instant Now => Instant.FromUnixTimeTicks(0) + Duration.FromNanoseconds(Nanoseconds);

    /// <summary>Changes the speed from now on. Only the process that made the file does this.</summary>
    /// <param name="speed">World seconds in a machine second, from 0.</param>
    public void SetSpeed(double speed)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(speed);
        Write(Nanoseconds, speed, long.MaxValue);
    }

    /// <summary>Lets the world run to a moment, where it stands by itself. Only the process that made the file does this.</summary>
    /// <param name="until">World time at which it stands.</param>
    /// <param name="speed">World seconds in a machine second, from 0.</param>
    public void RunUntil(Instant until, double speed)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(speed);
        long now = Nanoseconds;
        Write(now, speed, Math.Max(now, ToNanoseconds(until)));
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _view.Dispose();
        _file.Dispose();
    }

    private static long ToNanoseconds(Instant instant) => (instant - NodaConstants.UnixEpoch).ToInt64Nanoseconds();

    private long At((long World, long Machine, double Speed, long Until) anchor) =>
        Math.Min(anchor.Until, anchor.World + (long)(_machine.GetElapsedTime(anchor.Machine).Ticks * 100 * anchor.Speed));

    private void Write(long world, double speed, long until)
    {
        long sequence = _view.ReadInt64(SequenceAt);
        _view.Write(SequenceAt, sequence + 1);
        Thread.MemoryBarrier();
        _view.Write(WorldAt, world);
        _view.Write(MachineAt, _machine.GetTimestamp());
        _view.Write(SpeedAt, speed);
        _view.Write(UntilAt, until);
        Thread.MemoryBarrier();
        _view.Write(SequenceAt, sequence + 2);
    }

    private (long World, long Machine, double Speed, long Until) Read()
    {
        for (int tries = 0; tries < MaxTries; tries++)
        {
            long before = _view.ReadInt64(SequenceAt);
            Thread.MemoryBarrier();
            (long, long, double, long) anchor = (_view.ReadInt64(WorldAt), _view.ReadInt64(MachineAt), _view.ReadDouble(SpeedAt), _view.ReadInt64(UntilAt));
            Thread.MemoryBarrier();
            if (before % 2 == 0 && before == _view.ReadInt64(SequenceAt))
            {
                return anchor;
            }
        }

        throw new InvalidOperationException("The world clock's file was left half-written by its maker.");
    }
}
