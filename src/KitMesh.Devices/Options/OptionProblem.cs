using System.Globalization;

namespace KitMesh.Devices.Options;

/// <summary>Something wrong in a file that a person wrote: where, what, and how to mend it.</summary>
/// <param name="File">The file.</param>
/// <param name="Line">Line from 1.</param>
/// <param name="Key">Path of the key, such as <c>readers[2].interval</c>; empty for the whole file.</param>
/// <param name="What">What is wrong.</param>
/// <param name="Mend">What to write instead.</param>
public sealed record OptionProblem(string File, int Line, string Key, string What, string Mend)
{
    /// <summary>One line for a terminal.</summary>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{File}:{Line}: {(Key.Length == 0 ? "" : Key + ": ")}{What} {Mend}");
}
