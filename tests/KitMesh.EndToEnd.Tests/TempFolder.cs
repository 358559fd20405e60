namespace KitMesh.EndToEnd.Tests;

/// <summary>A folder that goes when the test does.</summary>
internal sealed class TempFolder : IDisposable
{
    /// <summary>The folder.</summary>
    public string Path { get; } = Directory.CreateTempSubdirectory("kitmesh-e2e-").FullName;

    /// <summary>A path inside it.</summary>
    public string At(params string[] parts) => System.IO.Path.Combine([Path, .. parts]);

    /// <summary>Writes a text and returns its path.</summary>
    public string Write(string name, string text)
    {
        File.WriteAllText(At(name), text);
        return At(name);
    }

    /// <inheritdoc/>
    public void Dispose() => Directory.Delete(Path, recursive: true);
}
