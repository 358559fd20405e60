namespace KitMesh.TestKit.Devices;

/// <summary>A folder that is gone when the test is over.</summary>
public sealed class TemporaryFolder : IDisposable
{
    /// <summary>Its path.</summary>
    public string Path { get; } = Directory.CreateTempSubdirectory("kitmesh-").FullName;

    /// <summary>A path in it.</summary>
    public string At(params string[] parts) => System.IO.Path.Combine([Path, .. parts]);

    /// <summary>Writes a file in it, with its folders.</summary>
    public string Write(string relative, string text)
    {
        string file = At(relative.Split('/'));
        Directory.CreateDirectory(System.IO.Path.GetDirectoryName(file)!);
        File.WriteAllText(file, text);
        return file;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        try
        {
            Directory.Delete(Path, recursive: true);
        }
        catch (IOException)
        {
            // Something still holds a file; the system's own cleaning takes it.
        }
    }
}
