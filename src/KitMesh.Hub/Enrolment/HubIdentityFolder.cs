using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using KitMesh.Disk;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>The folder <c>identity</c> in a hub's data folder: root, issuing key, the hub's own key.</summary>
/// <remarks>
/// The first hub of a trip holds <c>root.crt</c> and <c>root.key</c>; a further hub <c>root.crt</c>, <c>issuer.crt</c> and
/// <c>issuer.key</c>. Both hold <c>node.key</c>; the certificate to it is made at each start, for the addresses of the day.
/// </remarks>
public sealed class HubIdentityFolder
{
    private const string RootKey = "root.key";
    private const string RootCertificate = "root.crt";
    private const string IssuerKey = "issuer.key";
    private const string IssuerCertificate = "issuer.crt";
    private const string NodeKey = "node.key";
    private readonly string _folder;

    /// <summary>The folder of a hub.</summary>
    /// <param name="dataFolder">The hub's data folder.</param>
    public HubIdentityFolder(string dataFolder) => _folder = Path.Combine(dataFolder, "identity");

    /// <summary>The folder.</summary>
    public string Location => _folder;

    /// <summary>The socket for the owner of the data folder.</summary>
    public string Socket => At("owner.sock");

    /// <summary>Whether this hub belongs to a trip already.</summary>
    public bool HasRoot => File.Exists(At(RootCertificate));

    /// <summary>Whether this hub holds the trip root's key.</summary>
    public bool HoldsRootKey => File.Exists(At(RootKey));

    internal void SaveRoot(X509Certificate2 root, ECDsa key)
    {
        PrivateFile.MakeFolder(_folder);
        WriteKey(RootKey, key);
        Write(RootCertificate, root.ExportCertificatePem());
    }

    /// <summary>Makes this a further hub of a trip.</summary>
    /// <param name="root">The trip root.</param>
    /// <param name="issuer">The hub's issuing certificate.</param>
    /// <param name="key">Its key.</param>
    /// <exception cref="HubStartException">The hub belongs to a trip already.</exception>
    public void SaveIssuer(X509Certificate2 root, X509Certificate2 issuer, ECDsa key)
    {
        ArgumentNullException.ThrowIfNull(root);
        ArgumentNullException.ThrowIfNull(issuer);
        ArgumentNullException.ThrowIfNull(key);
        if (HasRoot)
        {
            throw new HubStartException($"The hub in {_folder} belongs to a trip already. Use another data folder.");
        }

        PrivateFile.MakeFolder(_folder);
        WriteKey(IssuerKey, key);
        Write(IssuerCertificate, issuer.ExportCertificatePem());
        Write(RootCertificate, root.ExportCertificatePem());
    }

    internal void SaveNodeKey(ECDsa key)
    {
        PrivateFile.MakeFolder(_folder);
        WriteKey(NodeKey, key);
    }

    /// <summary>The trip root's certificate.</summary>
    /// <exception cref="HubStartException">It cannot be used.</exception>
    public X509Certificate2 ReadRoot() => ReadCertificate(RootCertificate);

    internal X509Certificate2 ReadIssuer() => ReadCertificate(IssuerCertificate);

    internal ECDsa ReadRootKey() => ReadKey(RootKey);

    internal ECDsa ReadIssuerKey() => ReadKey(IssuerKey);

    internal ECDsa? ReadNodeKey() => File.Exists(At(NodeKey)) ? ReadKey(NodeKey) : null;

    private X509Certificate2 ReadCertificate(string name) => Read(name, X509Certificate2.CreateFromPem);

    private ECDsa ReadKey(string name)
    {
        if (File.Exists(At(name)) && PrivateFile.IsOpenToOthers(At(name)))
        {
            throw new HubStartException($"The key {At(name)} can be read by others, so it is not used. If nobody had it: chmod 600 {At(name)}. Else set the trip up anew and enrol every device again.");
        }

        return Read(name, pem =>
        {
            ECDsa key = ECDsa.Create();
            key.ImportFromPem(pem);
            return key;
        });
    }

    private delegate T PemReader<T>(ReadOnlySpan<char> pem);

    private T Read<T>(string name, PemReader<T> read)
    {
        try
        {
            return read(File.ReadAllText(At(name)));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException or CryptographicException or ArgumentException)
        {
            throw new HubStartException($"{At(name)} cannot be read: {failure.Message} Put the file back, or restore the root from its spare copy (kitmesh enrol restore).", failure);
        }
    }

    private void WriteKey(string name, ECDsa key) => Write(name, key.ExportPkcs8PrivateKeyPem());

    private void Write(string name, string pem) => PrivateFile.Write(At(name), Encoding.ASCII.GetBytes(pem + "\n"));

    private string At(string name) => Path.Combine(_folder, name);
}
