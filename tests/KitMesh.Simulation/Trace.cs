using System.Numerics;

namespace KitMesh.Simulation;

/// <summary>A running hash over everything that happens in a world, and the words for it when somebody looks.</summary>
internal sealed class Trace(TextWriter? words)
{
    internal ulong Hash { get; private set; } = 0xCBF29CE484222325;

    internal bool IsTold => words is not null;

    internal void Note(NodaTime.Duration now, string what, string who, long number = 0)
    {
        Mix((ulong)now.ToInt64Nanoseconds());
        Mix(what);
        Mix(who);
        Mix((ulong)number);
        words?.WriteLine($"{now.TotalSeconds,9:0.000} s  {who,-20} {what} {number}");
    }

    internal void Tell(string line) => words?.WriteLine(line);

    private void Mix(string text)
    {
        foreach (char c in text)
        {
            Mix(c);
        }
    }

    private void Mix(ulong value) => Hash = BitOperations.RotateLeft(Hash ^ value, 23) * 0x9E3779B97F4A7C15;
}
