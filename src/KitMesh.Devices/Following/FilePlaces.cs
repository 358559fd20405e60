using System.Text.Json;

namespace KitMesh.Devices.Following;

/// <summary>Remembers over a restart how far each followed file was read. Written only after the lines are safe in the journal.</summary>
internal sealed class FilePlaces
{
    private const int MaxFiles = 1000;

    private readonly string _file;
    private readonly Dictionary<string, FilePlace> _places;

    private FilePlaces(string file, Dictionary<string, FilePlace> places)
    {
        _file = file;
        _places = places;
    }

    /// <summary>Reads what was remembered; a missing or torn memory means from the beginning (lines come twice, none is lost).</summary>
    public static FilePlaces Load(string folder)
    {
        string file = Path.Combine(folder, "places.json");
        try
        {
            return new(file, JsonSerializer.Deserialize<Dictionary<string, FilePlace>>(File.ReadAllText(file)) ?? []);
        }
        catch (Exception e) when (e is IOException or JsonException or UnauthorizedAccessException)
        {
            return new(file, []);
        }
    }

    /// <summary>The place in a file.</summary>
    public FilePlace Of(string path) => _places.TryGetValue(path, out FilePlace place) ? place : FilePlace.Start;

    /// <summary>Remembers a place.</summary>
    public void Remember(string path, FilePlace place)
    {
        if (_places.Count >= MaxFiles && !_places.ContainsKey(path))
        {
            // Files that are gone need no memory; a folder with more living files than this is read again from the start.
            foreach (string gone in _places.Keys.Where(p => !File.Exists(p)).ToList())
            {
                _places.Remove(gone);
            }
        }

        if (_places.Count < MaxFiles || _places.ContainsKey(path))
        {
            _places[path] = place;
        }

        Directory.CreateDirectory(Path.GetDirectoryName(_file)!);
        string next = _file + ".next";
        File.WriteAllText(next, JsonSerializer.Serialize(_places));
        File.Move(next, _file, overwrite: true);
    }
}
