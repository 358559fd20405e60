namespace KitMesh.TripFile.Reading;

/// <summary>Where a key stands, for its messages.</summary>
internal readonly record struct KeyPlace(TripEntry Entry, string Key, int Line)
{
    public string Path => $"{Entry.Path}.{Key}";

    /// <summary>Adds an error here; returns false so that a reader can end with it.</summary>
    public bool Refuse(string what, string mend)
    {
        Entry.Error(Line, Key, what, mend);
        return false;
    }
}
