using System.Globalization;

namespace KitMesh.TripFile;

/// <summary>Something in a trip file that is wrong or looks wrong: where, what, and how to mend it.</summary>
/// <param name="File">The file, as it was named.</param>
/// <param name="Line">Line, from 1.</param>
/// <param name="Key">Path of the key, such as <c>packs[2].capacity</c>; empty for the whole file.</param>
/// <param name="What">What is wrong.</param>
/// <param name="Mend">What to write instead.</param>
/// <param name="IsQuestion">True when the file is taken as it stands and the author is only asked to look again.</param>
public sealed record TripProblem(string File, int Line, string Key, string What, string Mend, bool IsQuestion = false)
{
    /// <summary>One line for a terminal.</summary>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{File}:{Line}: {(Key.Length == 0 ? "" : Key + ": ")}{What} {Mend}");
}
