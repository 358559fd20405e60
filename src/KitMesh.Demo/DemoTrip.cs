namespace KitMesh.Demo;

/// <summary>The trip file of the scenario, shipped inside this room (its text stands in deploy/demo/trip.yaml).</summary>
public static class DemoTrip
{
    /// <summary>The file's text.</summary>
    public static string Text()
    {
        using Stream stream = typeof(DemoTrip).Assembly.GetManifestResourceStream("trip.yaml")
            ?? throw new InvalidOperationException("The demo's trip file was not built into this assembly.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
