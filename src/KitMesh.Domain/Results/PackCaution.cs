namespace KitMesh.Domain.Results;

/// <summary>The usual caution on packs: part of every answer that advises on them, and told once where several stand together.</summary>
public static class PackCaution
{
    /// <summary>The caution.</summary>
    public const string Words =
        "Lithium packs can burn. Charging below the cell maker's limit ruins cells and can start a fire later. "
        + "The maker's data sheet, local rules and licensed people decide; KitMesh never advises past a limit.";

    /// <summary>A text without the caution, for a place that shows the caution itself.</summary>
    /// <param name="text">The text.</param>
    public static string Without(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Replace(Words, "", StringComparison.Ordinal).TrimEnd();
    }
}
