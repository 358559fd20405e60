namespace KitMesh.Export.Tables;

/// <summary>One report without numbers of its own: footage, alerts, faults, kit, notes. What a kind does not have is empty or 0.</summary>
internal readonly record struct EventRow(long Time, string Node, string Epoch, long Sequence, string Kind, string Item, string Text)
{
    public string Clip { get; init; } = "";

    public string Card { get; init; } = "";

    public string Insertion { get; init; } = "";

    public string Source { get; init; } = "";

    public string Drive { get; init; } = "";

    public string Path { get; init; } = "";

    public string Word { get; init; } = "";

    public long Size { get; init; }

    public double LengthSeconds { get; init; }

    public long Recorded { get; init; }

    public long Stands { get; init; }

    public long Recheck { get; init; }
}
