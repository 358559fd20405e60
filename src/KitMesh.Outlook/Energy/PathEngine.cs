using System.Runtime.CompilerServices;

namespace KitMesh.Outlook.Energy;

// Problem: ten thousand futures of one bank, hour by hour to the last day, fast enough to ask again for every what-if.
// Trap: a loop over steps with arrays of paths moves the whole state through memory at every step; branches on "cold?" and "full?" break lanes.
// Method: eight paths ride in the lanes of one vector from the first step to the last, so that their state stays in registers and only what the
// day ends with is written. Every choice is a select. The box follows its exact exponential inside a step, so that a step of an hour does not drift.
// Order of a step: air, panel, loads, heater, charge within the zone of the cells, draw above what the cold lets out, box.
// Night steps leave out panel and charge: the branch is the same for every path, and the result is the same to the bit.
// The lanes' state lies on a border of 64 bytes: on the stack it lay wherever the process' stack began, and a vector that straddles two cache lines takes two accesses.
// No allocation happens per step. Check: PathEngineTests (bit for bit against the plain loop in PathLoop, energy balance to 1e-9, monotone in sun and size).

/// <summary>Rolls the paths of one bank.</summary>
internal static class PathEngine
{
    internal const int Lanes = 8;

    private const int CacheLine = 64;

    /// <summary>Rolls paths.</summary>
    /// <param name="bank">The bank.</param>
    /// <param name="seed">Seed.</param>
    /// <param name="paths">Paths, a multiple of eight.</param>
    /// <param name="keepPaths">Keep every path's days as well.</param>
    internal static PathDays Run(PathCase bank, ulong seed, int paths, bool keepPaths = false)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(paths);
        ArgumentOutOfRangeException.ThrowIfNotEqual(paths % Lanes, 0);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(bank.ZoneFromC.Length, PathCase.MaxZones);
        var days = new PathDays(bank, paths, keepPaths);
        byte[] memory = GC.AllocateUninitializedArray<byte>(Unsafe.SizeOf<PathLanes>() + CacheLine, pinned: true);
        ref PathLanes lanes = ref Aligned(memory);
        for (int path = 0; path < paths; path += Lanes)
        {
            lanes = new PathLanes(bank, seed, path);
            Roll(bank, ref lanes, days, path);
        }

        return days;
    }

    // Pinned memory does not move, so that its first whole cache line stays one.
    private static ref PathLanes Aligned(byte[] memory)
    {
        ref byte start = ref memory[0];
        nint address = Unsafe.ByteOffset(ref Unsafe.NullRef<byte>(), ref start);
        return ref Unsafe.As<byte, PathLanes>(ref Unsafe.Add(ref start, (CacheLine - (address % CacheLine)) % CacheLine));
    }

    private static void Roll(PathCase bank, ref PathLanes lanes, PathDays days, int path)
    {
        StepTable steps = bank.Steps;
        int step = 0;
        for (int day = 0; day < steps.Days; day++)
        {
            lanes.StartDay(bank, day);
            for (int end = steps.DayEnd[day]; step < end; step++)
            {
                lanes.Step(bank, step);
            }

            lanes.Count(bank, days, day, path, step);
        }
    }
}
