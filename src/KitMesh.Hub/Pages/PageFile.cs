namespace KitMesh.Hub.Pages;

/// <summary>Reads a file that the pages need and that is part of this program.</summary>
internal static class PageFile
{
    /// <summary>The content of one file.</summary>
    /// <param name="name">Its name below the pages' folder, with a dot for each step down.</param>
    public static byte[] Read(string name)
    {
        using Stream stream = typeof(PageFile).Assembly.GetManifestResourceStream($"KitMesh.Hub.Pages.{name}")
            ?? throw new InvalidOperationException($"{name} is not part of this program.");
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}
